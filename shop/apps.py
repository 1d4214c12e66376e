from django.apps import AppConfig

from shared import computing


class ShopConfig(AppConfig):
    name = "shop"

    def ready(self):
        computing.offer(
            "shop.vin",
        )
