"""Shops whose truth is known, many at once: do the intervals of the audit hold what they say?"""
