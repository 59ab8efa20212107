"""The tenant, its people and its signed-in browsers."""

from decimal import Decimal
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models.functions import Now
from django.utils.crypto import salted_hmac

from shopapi.accounts.rules import (
    MailPurpose,
    PaperSize,
    Permission,
    Role,
    SetUpStep,
    Units,
    WeekDay,
    sign_in_name,
    starting_calendar,
    starting_follow_ups,
)
from shopapi.core.enums import choices_of
from shopapi.core.ids import uuid7
from shopapi.core.languages import ENGLISH, Language


class Shop(models.Model):
    """The tenant. Made once by `make_first_shop`; every other row of the shop points here."""

    shop_column = "id"

    id = models.UUIDField(primary_key=True, default=uuid7)
    name = models.CharField(max_length=120)
    address = models.TextField(default="", blank=True)
    phone = models.CharField(max_length=120, default="", blank=True)
    email = models.CharField(max_length=120, default="", blank=True)
    currency = models.CharField(max_length=3)
    zone = models.CharField(max_length=60)
    units = models.CharField(max_length=6, default="us", choices=choices_of(Units))
    paper_size = models.CharField(max_length=6, default="letter", choices=choices_of(PaperSize))
    locale = models.CharField(max_length=20, default="en-US")
    # That of new customers.
    customer_language = models.CharField(max_length=2, default=ENGLISH, choices=choices_of(Language))
    week_start = models.CharField(max_length=9, default="monday", choices=choices_of(WeekDay))
    overtime_after_hours = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(40))
    overtime_multiplier = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal("1.5"))
    clock_hours = models.PositiveSmallIntegerField(default=10)
    quiet_from = models.CharField(max_length=5, default="20:00")
    quiet_until = models.CharField(max_length=5, default="08:00")
    follow_ups = models.JSONField(default=starting_follow_ups)
    skipped_steps = ArrayField(
        models.CharField(max_length=12, choices=choices_of(SetUpStep)), db_default=[], blank=True
    )
    # Nothing is handed back with a bypassed or missing safety device, whatever the customer says.
    no_bypass = models.BooleanField(db_default=False)
    calendar = models.JSONField(default=starting_calendar)
    # The public holidays by the calendar's country, of this year and the next two.
    holidays = ArrayField(models.DateField(), db_default=[], blank=True)
    created_at = models.DateTimeField(db_default=Now())
    changed_at = models.DateTimeField(db_default=Now())

    def __str__(self) -> str:
        return self.name


class ShopOwned(models.Model):
    """Base of every row that belongs to a shop; `makemigrations` secures its table (`core.tenancy.ShopTable`).

    With `append_only` the application may add rows but neither change nor delete them.
    """

    append_only: ClassVar[bool] = False

    id = models.UUIDField(primary_key=True, default=uuid7)
    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(db_default=Now())
    changed_at = models.DateTimeField(db_default=Now())

    class Meta:
        abstract = True


class ShopForeignKey(models.ForeignKey[Any, Any]):
    """A foreign key that cannot leave the shop: the database compares (shop_id, id) on both sides.

    PostgreSQL's own checks run past row-level security, so a plain key could point into another shop.
    """

    within_shop = True

    def __init__(self, to: Any, **options: Any) -> None:
        options.setdefault("on_delete", models.PROTECT)
        options["db_constraint"] = False
        super().__init__(to, **options)

    def deconstruct(self) -> Any:
        name, path, args, options = super().deconstruct()
        options.pop("db_constraint", None)
        return name, path, args, options


class UserManager(BaseUserManager["User"]):
    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(sign_in=sign_in_name(username or ""))


class User(AbstractBaseUser):
    """A sign-in, without a shop or personal details: it is looked up before the shop is known.

    `sign_in` is its normalized address (`rules.sign_in_name`), by which it is found.
    """

    id = models.UUIDField(primary_key=True, default=uuid7)
    email = models.CharField(max_length=254, unique=True)
    sign_in = models.CharField(max_length=254)
    is_active = models.BooleanField(default=True)
    # Raised to end every session but the one that asks: sessions are bound to it as to the password.
    session_epoch = models.PositiveIntegerField(db_default=0)

    USERNAME_FIELD = "email"
    objects = UserManager()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["sign_in"], name="one_sign_in_per_email"),)

    def __str__(self) -> str:
        return self.email

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """As Django's, which a change of the password alone changes, with the epoch once there was one."""
        bound = self.password if not self.session_epoch else f"{self.password}#{self.session_epoch}"
        key_salt = "django.contrib.auth.models.AbstractBaseUser.get_session_auth_hash"
        return salted_hmac(key_salt, bound, secret=secret, algorithm="sha256").hexdigest()


class Member(ShopOwned):
    """One person of a shop with a role. Leaves by `active`, never by deletion: their work keeps their name.

    `ended_at`: when the membership ended. A device that was signed off at that very moment was signed off by it.
    """

    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="memberships")
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=choices_of(Role))
    may_see_cost = models.BooleanField(default=False)
    active = models.BooleanField(default=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "user"], name="one_membership_per_user_and_shop"),
            models.CheckConstraint(
                condition=models.Q(active=True, ended_at=None) | models.Q(active=False, ended_at__isnull=False),
                name="active_until_ended",
            ),
        )

    def __str__(self) -> str:
        return self.name


class Device(ShopOwned):
    """One signed-in browser of one member. `next_no` is the number its next command must carry.

    `sign_ins`: the sessions that were used on it, each by a digest that stays the same for the life of the session.
    `safe_no` is the last number of its commands that a backup is known to hold (0: none).
    """

    member = ShopForeignKey(Member, related_name="devices")
    letter = models.CharField(max_length=8)
    label = models.CharField(max_length=120, default="", blank=True)
    build = models.CharField(max_length=120, default="", blank=True)
    next_no = models.BigIntegerField(default=1)
    safe_no = models.BigIntegerField(default=0)
    skew_ms = models.BigIntegerField(default=0)
    sign_ins = ArrayField(models.CharField(max_length=64), default=list)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "letter"], name="one_letter_per_device"),)


class Invitation(ShopOwned):
    """An invitation to join. Its secret is derived from the server's key; only the SHA-256 is stored.

    Accepted once, by one conditional update; the member made by it has its id. `device` is where it was made.
    """

    name = models.CharField(max_length=120)
    email = models.CharField(max_length=254)
    sign_in = models.CharField(max_length=254)
    role = models.CharField(max_length=10, choices=choices_of(Role))
    may_see_cost = models.BooleanField(default=False)
    token_hash = models.CharField(max_length=64, unique=True)
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)
    created_by = ShopForeignKey(Member, related_name="+", null=True)
    device = ShopForeignKey(Device, related_name="+", null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["shop", "sign_in"],
                name="one_open_invitation_per_person",
                condition=models.Q(accepted_at=None, withdrawn_at=None),
            ),
        )

    def __str__(self) -> str:
        return self.name


class ApiToken(ShopOwned):
    """A member's key for an API client. Only its SHA-256 is kept; the key is shown once (null: not yet).

    `permissions`: what it may do, of what the member may; null: all of it, for keys made on the server.
    """

    member = ShopForeignKey(Member, related_name="tokens")
    label = models.CharField(max_length=120)
    digest = models.CharField(max_length=64, unique=True, null=True)
    permissions = ArrayField(models.CharField(max_length=20, choices=choices_of(Permission)), null=True)
    expires_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)
    last_used_on = models.DateField(null=True)


class LoginAttempt(models.Model):
    """A failed sign-in or a failed use of a link, stored for an hour to throttle guessing.

    `subject_digest` is the digest of an account, a browser or a link, `network` that of the client's network; "" where
    it does not count.
    """

    subject_digest = models.CharField(max_length=64, db_column="about")
    network = models.CharField(max_length=64, default="")
    at = models.DateTimeField(db_default=Now())

    class Meta:
        db_table = "accounts_signintry"
        # Recent attempts on one account, and recent attempts from one network.
        indexes = (
            models.Index(fields=["subject_digest", "at"], name="tries_about"),
            models.Index(fields=["network", "at"], name="tries_from"),
        )


class MailedLink(models.Model):
    """A link sent by mail to a person who signs in: to set a new password, or to confirm a new address.

    It belongs to no shop, as its user. Its secret is derived from the server's key; only the SHA-256 is stored. Used
    once, by one conditional update. `email` is the new address, `former_email` that which the user had when it was
    made; both are "" for a new password.
    """

    id = models.UUIDField(primary_key=True, default=uuid7)
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="mailed_links")
    purpose = models.CharField(max_length=10, choices=choices_of(MailPurpose))
    email = models.CharField(max_length=254, default="", blank=True)
    former_email = models.CharField(max_length=254, default="", blank=True)
    language = models.CharField(max_length=2, default=ENGLISH, choices=choices_of(Language))
    token_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(db_default=Now())
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)


class Passkey(models.Model):
    """A passkey of a user (WebAuthn). `credential` is the attested data: key id and public key; no secret.

    `sign_count` is the last counter that it signed with; many passkeys stay at 0.
    """

    id = models.UUIDField(primary_key=True, default=uuid7)
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="passkeys")
    credential_id = models.BinaryField(unique=True)
    credential = models.BinaryField()
    sign_count = models.BigIntegerField(default=0)
    label = models.CharField(max_length=120, default="", blank=True)
    created_at = models.DateTimeField(db_default=Now())
    last_used_at = models.DateTimeField(null=True)


class AuthenticatorApp(models.Model):
    """The authenticator app of a user, which counts once a code was confirmed. `secret` is stored encrypted.

    `last_step` is the time step of the last code used: no code is used twice.
    """

    user = models.OneToOneField(User, primary_key=True, on_delete=models.CASCADE, related_name="authenticator_app")
    secret = models.TextField()
    last_step = models.BigIntegerField(default=0)
    confirmed_at = models.DateTimeField(null=True)


class RecoveryCode(models.Model):
    """A code of 80 random bits that signs a user in once without their second factor. Only the SHA-256 is stored."""

    id = models.UUIDField(primary_key=True, default=uuid7)
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="recovery_codes")
    digest = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["user", "digest"], name="one_recovery_code"),)


class BrowserSession(models.Model):
    """A browser on which a user is signed in, for the list of them; Django's own table says whether it still is.

    `sign_in` is the session's constant id, as devices store it; `session_key` changes with the password. `label`: the
    browser and its system, `network`: from where it last made contact.
    """

    id = models.UUIDField(primary_key=True, default=uuid7)
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="browser_sessions")
    session_key = models.CharField(max_length=40, unique=True)
    sign_in = models.CharField(max_length=64)
    label = models.CharField(max_length=60, default="", blank=True)
    network = models.CharField(max_length=64, default="", blank=True)
    begun_at = models.DateTimeField()
    seen_at = models.DateTimeField()
