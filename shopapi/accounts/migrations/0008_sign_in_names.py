from typing import Any

from django.db import migrations, models

from shopapi.accounts.rules import sign_in_name


def name_each(apps: Any, schema_editor: Any) -> None:
    """Give each sign-in its one form, and say which two would be one."""
    users = apps.get_model("accounts", "User").objects.using(schema_editor.connection.alias)
    named: dict[str, str] = {}
    for user in users.order_by("id"):
        user.sign_in = sign_in_name(user.email)
        if user.sign_in in named:
            raise ValueError(
                f"The addresses {named[user.sign_in]!r} and {user.email!r} read alike and both sign somebody in. "
                "Change one of them in accounts_user, then start again."
            )
        named[user.sign_in] = user.email
        user.save(update_fields=["sign_in"])


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0007_device_safe_no"),
    ]

    operations = [
        migrations.AddField(
            model_name="user",
            name="sign_in",
            field=models.CharField(default="", max_length=254),
            preserve_default=False,
        ),
        migrations.RunPython(name_each, migrations.RunPython.noop, elidable=True),
        migrations.RemoveConstraint(model_name="user", name="one_sign_in_per_email"),
        migrations.AddConstraint(
            model_name="user",
            constraint=models.UniqueConstraint(fields=["sign_in"], name="one_sign_in_per_email"),
        ),
        migrations.AddField(
            model_name="signintry",
            name="network",
            field=models.CharField(default="", max_length=64),
        ),
        migrations.AddIndex(
            model_name="signintry",
            index=models.Index(fields=["network", "at"], name="tries_from"),
        ),
    ]
