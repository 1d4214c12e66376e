"""Bench sums: what a technician works out beside the vehicle, each under a name of its own.

One module a subject. Meaning, unit and validity range of each value, formula, source and cautions stand in
the registration above each function (`shared.computing.computation`): the page, the command and the tests
read them there, so they are not said again in the function's docstring. A function is called with the keys
of its registration; it refuses with `shared.computing.Refused`.

Marks: *read* in the source named, *from memory* of it, *common practice* without a single authority,
*computed* from a definition, *project rule*. The vehicle maker's figure beats every one of them.
"""
