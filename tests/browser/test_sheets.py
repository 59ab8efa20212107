"""A sheet made without a signal is found on a sister machine, and a limit on it is changed there."""

from shopapi.core.actor import Actor
from shopapi.core.tenancy import in_shop
from shopapi.machines.models import Limit, Sheet, SheetEntry
from tests.browser.axe import accessibility_violations
from tests.browser.conftest import MECHANIC, NewPhone
from tests.factories import work
from tests.site import LiveSite


def test_what_we_know(live_site: LiveSite, shop: Actor, new_phone: NewPhone, axe_source: str) -> None:
    customer = work.a_customer(shop, name="Winnie Stroud")
    known = {"kind": "garden tractor", "make": "Hartvale"}
    machine = work.a_machine(shop, customer, **known, model="GT 18")
    sister = work.a_machine(shop, customer, **known, model="GT 24")
    job = work.a_job(shop, customer_id=customer, machine_id=machine)
    work.a_finding(shop, job, words="Key of the flywheel sheared")
    phone = new_phone(live_site.base_url)
    phone.context.add_init_script(axe_source)
    phone.sign_in(MECHANIC)
    phone.wait_for_offline_app()
    phone.context.set_offline(True)
    # From the job: one press to the bench, one to what is known, one that keeps the lesson.
    phone.open(f"/jobs/{job}/known")
    phone.expect_text("Nothing is kept about this machine yet")
    phone.press("Key of the flywheel sheared")
    phone.expect_text("Kept on Hartvale GT 18")
    assert not accessibility_violations(phone.page, "what we know")
    phone.open("/sheets")
    phone.fill("Search", "flywheel")
    phone.press("Hartvale GT 18")
    phone.press("Add a limit")
    phone.fill("What is measured", "Ignition air gap")
    phone.fill("Value", "0.016")
    phone.fill("± tolerance", "-0.008")
    phone.press("Save limit")
    phone.expect_text("Enter the tolerance without a minus sign")
    assert not accessibility_violations(phone.page, "a limit with an error")
    phone.fill("± tolerance", "0.008")
    phone.press("Save limit")
    phone.expect_text("0.016 in ± 0.008 in")
    phone.expect_text("Common practice, no source")
    assert not accessibility_violations(phone.page, "a sheet")
    phone.open(f"/machines/{sister}/known")
    phone.expect_text("Same make")
    phone.press("Hartvale GT 18")
    phone.press("Ignition air gap")
    phone.fill("Value", "0.014")
    phone.press("Save limit")
    phone.expect_text("0.014 in ± 0.008 in")
    phone.context.set_offline(False)
    phone.wait_until_sent()
    with in_shop(shop.shop_id):
        assert Sheet.objects.get().model == "GT 18"
        assert SheetEntry.objects.get().machine_id == machine
        limit = Limit.objects.get()
        assert (limit.nominal, limit.tolerance, limit.unit, limit.version) == ("0.014", "0.008", "in", 2)
    phone.close()
