"""Timings that compare in one run: each figure stands beside a yardstick taken on the same machine, in turns.

Read the ratios; the absolute figures belong to the machine.
"""
