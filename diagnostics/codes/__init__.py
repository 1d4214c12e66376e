"""Trouble codes: their layout, what they are called, what a scan report says, and what two reports differ in.

A code is a report of a control unit, not a reading (practice.md, section 1, line 5): it says where to
measure and never which part is at fault.

`structure`, `answers` and `live` turn bytes into codes and values; `meanings` has words for them;
`scan_text` reads a report of any layout; `compare` lays two reports side by side; `shop_table` reads the
shop's own list of meanings.
"""
