"""Statistics of counts: how sure a share is, how two differ, what stands out among many. Plain formulas."""
