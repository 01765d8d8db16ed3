"""upfeed: does oil still get up to the rockers when parts of different engine families are mixed?"""

__version__ = "0.1.0"
