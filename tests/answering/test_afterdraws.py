"""Notes that only draws can make: how sure the verdict is, and on what it turns."""

import pytest

GUESSED = {
    "slots": {
        "lifter": {
            "part": "BW-118",
            "has": {"disc_rise": {"is": "0.035 mm", "standing": "assumed", "source": "estimate"}},
        }
    },
    "settings": {"preload": "-2 thou"},
}
RULE = "rough-value-decides"


def of_rule(answer):
    return [finding for finding in answer.findings if finding.rule == RULE]


@pytest.fixture(scope="module")
def torn(ask):
    return ask(GUESSED, samples=32)


def test_a_verdict_that_turns_on_a_guess_says_on_which(torn):
    (finding,) = of_rule(torn)
    first = torn.measure_first[0]
    assert torn.how_sure.verdict_holds_in < 0.95
    assert first.decides
    assert first.name.replace(".", " ").replace("_", " ") in finding.says
    assert first.shown in finding.says
    told = {computed.name: computed.build for computed in finding.computed}
    assert told["verdict_holds_in"] == torn.how_sure.verdict_holds_in
    assert told["rough_values"] == sum(value.decides for value in torn.measure_first)


def test_it_is_a_note_that_changes_nothing_else(ask, torn):
    given = ask(GUESSED)
    assert (torn.verdict, torn.decided_by) == (given.verdict, given.decided_by)
    assert [f.id for f in torn.findings if f.rule != RULE] == [f.id for f in given.findings]
    assert [f.weighs for f in of_rule(torn)] == ["note"]
    assert RULE not in {miss.rule for miss in torn.how_sure.near_misses}


def test_without_draws_nothing_is_said_and_nothing_waits_for_them(ask):
    answer = ask(GUESSED)
    assert not of_rule(answer)
    assert RULE not in {rule for unknown in answer.unknown for rule in unknown.blocks}


def test_what_is_missing_is_never_drawn(ask):
    assert not of_rule(ask(GUESSED | {"settings": {"preload": None}}, samples=32))


def test_a_verdict_that_no_spread_moves_is_left_alone(ask):
    answer = ask({"slots": {"lifter": "BW-121"}}, samples=32)
    assert answer.how_sure.verdict_holds_in == 1.0
    assert not of_rule(answer)


def test_measured_values_are_not_blamed(ask):
    """Two thou of lash, measured, on valves of which the temperature is only assumed: somebody else may be to blame."""
    measured = {
        "preload": {"is": "-2 thou", "standing": "measured", "source": "pellow-bench-book"},
    }
    answer = ask(GUESSED | {"settings": measured}, samples=32)
    for finding in of_rule(answer):
        assert "preload" not in finding.says
