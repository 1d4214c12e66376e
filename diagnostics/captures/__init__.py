"""Captured signals: recordings of instruments and what is computed from them."""
