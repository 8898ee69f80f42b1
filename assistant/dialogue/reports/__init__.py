"""Reports: what was read or done, when, and what of the words was used. Data goes one way.

``times`` hears when, ``modifiers`` what stands around, ``core`` what remains and was read, ``take`` logs or
asks, and ``ledger`` sees to it that nothing said is dropped in silence.
"""
