from django.db import migrations, models


class Migration(migrations.Migration):
    """New names for the model and one field; the table, its columns and its indexes stay as they are."""

    dependencies = [("accounts", "0011_choices")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterModelTable("SignInTry", "accounts_signintry"),
                migrations.RenameModel("SignInTry", "LoginAttempt"),
                migrations.RemoveIndex("LoginAttempt", "tries_about"),
                migrations.AlterField("LoginAttempt", "about", models.CharField(db_column="about", max_length=64)),
                migrations.RenameField("LoginAttempt", "about", "subject_digest"),
                migrations.AddIndex("LoginAttempt", models.Index(fields=["subject_digest", "at"], name="tries_about")),
            ]
        )
    ]
