"""Takes what is there for good out of the search for garbage."""

import gc


def settle() -> None:
    """Collect what is garbage, then leave all that lives out of later searches.

    A library is some hundred thousand objects; looking through them again and again would cost requests more than
    answering does. What was settled before is looked through once more, so that a library that was replaced goes.
    """
    gc.unfreeze()
    gc.collect()
    gc.freeze()
