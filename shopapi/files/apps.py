from django.apps import AppConfig


class FilesConfig(AppConfig):
    name = "shopapi.files"
    label = "files"
