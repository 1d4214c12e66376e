"""Proof that an intermittent fault is gone: how many trials, what they show, what they leave open.

The rule that counts is practice.md section 8 (`diagnostics.evidence.trials`); this package says beside it how
uncertain the rate behind the rule is and what a clean run would be worth if nothing had been fixed.
"""
