from invoicing.models.monthly import MonthlyReport, ReportLetter
from invoicing.models.papers import CustomerLink, IssuedDocument, WarrantyGrant

__all__ = ["CustomerLink", "IssuedDocument", "MonthlyReport", "ReportLetter", "WarrantyGrant"]
