from invoicing.models.papers import CustomerLink, IssuedDocument, WarrantyGrant

__all__ = ["CustomerLink", "IssuedDocument", "WarrantyGrant"]
