"""Where the knowledge, the rules and the vocabulary lie: inside the wheel, or in a checkout."""

from pathlib import Path

PACKAGE = Path(__file__).parent.parent
_CHECKOUT = PACKAGE.parent.parent


def data_folder(name: str) -> Path:
    """Folder `name` ("kb", "rules" or "shared") that travels with this program.

    Raises FileNotFoundError when the installation is damaged.
    """
    for folder in (PACKAGE / "_data" / name, _CHECKOUT / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"this installation of upfeed has no {name} folder; install it again")
