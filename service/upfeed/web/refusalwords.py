"""What the contract says of each status that refuses, with the limits in force."""

from upfeed.web.limits import BUILDS_BODY, Limits


def refusals_told(limits: Limits) -> dict[int, str]:
    """A sentence for each status."""
    return {
        400: "The query, the body or the host can't be read.",
        404: "There is no such thing.",
        406: "What would be sent is not among what Accept and Accept-Encoding take.",
        413: (
            f"The body has more than {limits.body} bytes, as it is or out of its coding; {BUILDS_BODY} where it"
            " may hold several builds."
        ),
        415: "The body is not JSON in UTF-8, as it is or coded by gzip.",
        421: "The service does not answer for the host that was asked.",
        422: (
            "What is asked for can be read but not done; every fault is told. Or it is too much to compute: engines"
            " (corner cases, draws of the build and of the reference), times operating points, times kinds of valve,"
            f" may come to {limits.states} for all builds together."
        ),
        429: f"More than {limits.waiting} answers wait to be computed.",
        500: "A fault of the service itself.",
        503: f"It was not computed within {limits.seconds:g} seconds, or as many answers wait as may.",
    }
