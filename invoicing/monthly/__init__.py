"""The owner's monthly report: composed from the audit, drawn as a PDF, sent by e-mail."""
