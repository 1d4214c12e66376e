"""A second opinion on which test comes next: generators, an exact solver and plain policies.

Written from the note on fault isolation (fault-isolation.md, sections 2 to 5) and the schema of the problem
document alone. Nothing here imports the planner but `planner.py` and the tests that hold both side by side.

    python -m tests.isolation_proof solve    solve every generated problem again and write answers.json
    python -m tests.isolation_proof table    the table of policies, expected minutes divided by the optimum
"""
