"""How well this place hears: a dozen sentences of the site's own are said, and what came in is measured.

Nothing of the sound or the words is kept, nothing is logged: only figures come out.
"""
