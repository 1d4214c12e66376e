"""Calls after a job: which are due, and what the customer said."""
