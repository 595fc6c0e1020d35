"""How hypothesis searches: the same examples in each run, however slow the machine.

A gate that draws new examples each time goes red for a change that did nothing. To
look for new ones: ``pytest --hypothesis-profile=search``.
"""

from hypothesis import settings

settings.register_profile("search", deadline=None)
settings.register_profile("fixed", deadline=None, derandomize=True, database=None)
settings.load_profile("fixed")
