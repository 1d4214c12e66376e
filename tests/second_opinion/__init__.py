"""A second opinion on the evidence rules and on comebacks, written from the practice text alone.

`rules.py` and `returns.py` answer the questions of sections 4 to 9 of the practice text a second time,
straight from the lines of the job history exchange form. They share no code with the product: own unit table,
own reading of dates, own order of things. `generate.py` makes dense invented histories from a seed. Where the
product and the second opinion disagree on one of them, one of the two has misread the text. Each choice made
where the text leaves room is written at the place where it is made and begins with the word "Reading".
"""
