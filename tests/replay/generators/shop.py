"""The shop itself, its messages and follow-ups."""

from shopapi.accounts.rules import SET_UP_STEPS
from shopapi.quotes.rules.confirmed import PRICE_PARTS
from tests.replay.generators.registry import Args, edit, generator, maybe, one, target, whose, words
from tests.replay.simulated_shop import SimulatedShop

# The shop


@generator
def edit_shop(shop: SimulatedShop) -> Args:
    (row,) = shop.all("shop")
    fields = {
        "name": f"Bench {shop.random.randrange(99)}",
        "address": words(shop),
        "phone": "555",
        "email": "a@b.example",
        "units": shop.random.choice(("us", "metric")),
        "paper_size": shop.random.choice(("letter", "a4")),
        "week_start": shop.random.choice(("monday", "sunday")),
        "overtime_after_hours": str(shop.random.randrange(30, 50)),
        "overtime_multiplier": "1.5",
        "clock_hours": shop.random.randrange(1, 24),
        "quiet_from": "20:30",
        "quiet_until": "06:15",
        "skipped_steps": shop.random.sample(SET_UP_STEPS, shop.random.randrange(3)),
        "follow_ups": {**row["follow_ups"], "check_in": shop.random.randrange(1, 90)},
    }
    return edit(shop, row, fields)


@generator
def edit_price_book(shop: SimulatedShop) -> Args:
    (row,) = shop.all("price_book")
    changed = {"terms": words(shop), "valid_days": shop.random.randrange(1, 90)}
    looked_at = shop.random.sample(PRICE_PARTS, shop.random.randrange(4))
    return edit(shop, row, {"prices": row["prices"] | changed, "confirmed": looked_at})


@generator
def settle_issue(shop: SimulatedShop) -> Args:
    issue = one(shop, whose(shop, "issue", state="open"))
    return issue and {"id": issue["id"], "choice": shop.random.choice(("theirs", "ours"))}


# Messages and follow-ups


@generator
def record_message(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    address = shop.random.choice(("+1 (402) 555-0142", "w@Stroud.example"))
    return job and {
        "id": shop.mint(),
        "address": address,
        "name": "Winnie",
        "template": "plain",
        "subject": words(shop),
        "body": words(shop),
        "about_kind": "job",
        "about_id": job["id"],
        "sent_at": shop.stamp(),
    }


@generator
def note_sent_by_hand(shop: SimulatedShop) -> Args:
    notice = one(shop, whose(shop, "notice", state=("by_hand", "waiting", "refused", "unknown", "sent")))
    return notice and {"id": notice["id"], "sent_at": shop.stamp()}


@generator
def send_again(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "notice", state=("waiting", "refused", "unknown"), channel="email")))


@generator
def put_notice_template(shop: SimulatedShop) -> Args:
    key, channel = shop.random.choice((("machine_ready", "sms"), ("machine_ready", "email"), ("on_my_way", "sms")))
    return {
        "id": shop.mint(),
        "key": key,
        "channel": channel,
        "subject": words(shop) if channel == "email" else "",
        "body": f"{words(shop)} {{machine}} {{shop}}",
    }


@generator
def drop_notice_template(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("notice_template")))


@generator
def opt_out(shop: SimulatedShop) -> Args:
    channel = shop.random.choice(("sms", "email"))
    address = f"+1 402 555 {shop.random.randrange(10_000):04}" if channel == "sms" else f"W{shop.minted}@stroud.example"
    return {"id": shop.mint(), "channel": channel, "address": address, **maybe(shop, reason=words(shop))}


@generator
def opt_in(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("opt_out")))


@generator
def turn_on_push(shop: SimulatedShop) -> Args:
    keys = {
        "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
        "auth": "BTBZMqHH6r4Tts7J_aSIgg",
    }
    made = shop.mint()
    shop.subscriptions[shop.me] = made
    return {"id": made, "endpoint": "https://fcm.googleapis.com/fcm/send/abc", **keys}


@generator
def turn_off_push(shop: SimulatedShop) -> Args:
    known = shop.subscriptions.pop(shop.me, None)
    return {"id": known} if known else None


@generator
def put_off_follow_up(shop: SimulatedShop) -> Args:
    row = one(shop, whose(shop, "follow_up", state="open"))
    return row and {"id": row["id"], "until": shop.day(shop.random.randrange(1, 9))}


@generator
def drop_follow_up(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "follow_up", state="open")))


@generator
def take_up_follow_up(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "follow_up", state=("open", "dropped"))))
