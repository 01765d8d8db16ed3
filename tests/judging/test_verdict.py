from hypothesis import given
from hypothesis import strategies as st

from upfeed.judging.verdict import Decision, Raised, Untold, consequences, decide

STOP = Raised("dry@path", "dry", "stop")
CAUTION = Raised("less@path", "less", "caution")
NOTE = Raised("same@path", "same", "note")
ORDER = ("stop", "cannot_tell_yet", "go_with_care", "go")


def test_nothing_found_is_go():
    assert decide([], []) == Decision("go", ())


def test_the_heaviest_finding_decides():
    assert decide([NOTE], []) == Decision("go", ())
    assert decide([NOTE, CAUTION], []) == Decision("go_with_care", ("less@path",))
    assert decide([NOTE, CAUTION, STOP], []) == Decision("stop", ("dry@path",))


def test_an_unknown_blocks_unless_it_could_only_add_a_note():
    assert decide([], [Untold("x@path", "note")]) == Decision("go", ())
    assert decide([], [Untold("x@path", "caution")]) == Decision("cannot_tell_yet", ("x@path",))
    assert decide([CAUTION], [Untold("x@path", "stop")]) == Decision("cannot_tell_yet", ("x@path",))
    assert decide([STOP], [Untold("x@path", "stop")]) == Decision("stop", ("dry@path",))


def test_an_accepted_finding_does_not_count():
    accepted = Raised("dry@path", "dry", "stop", accepted=True)
    assert decide([accepted], []) == Decision("go", ())
    assert decide([accepted, CAUTION], []) == Decision("go_with_care", ("less@path",))


def test_roots_are_named_before_their_consequences_which_still_stand():
    root = Raised("disc@path", "disc", "caution", explains=("more", "lost"))
    middle = Raised("more@path", "more", "caution", explains=("lost",))
    last = Raised("lost@pump", "lost", "caution")
    other = Raised("other@path", "other", "caution")
    found = decide([last, other, middle, root], [])
    assert found == Decision("go_with_care", ("other@path", "disc@path", "more@path", "lost@pump"))
    assert consequences(root, [last, middle, root]) == ("lost@pump", "more@path")


def test_a_lighter_root_is_named_before_the_stop_it_explains():
    root = Raised("disc@path", "disc", "caution", explains=("dry",))
    assert decide([STOP, root, CAUTION], []) == Decision("stop", ("disc@path", "dry@path"))
    assert decide([STOP, Raised("disc@path", "disc", "caution", ("dry",), accepted=True)], []).decided_by == (
        "dry@path",
    )


def test_findings_that_explain_each_other_end():
    one, two = Raised("a@p", "a", "caution", ("b",)), Raised("b@p", "b", "caution", ("a",))
    assert sorted(decide([one, two], []).decided_by) == ["a@p", "b@p"]


raised = st.builds(
    lambda i, weighs, explains, accepted: Raised(f"r{i}@p", f"r{i}", weighs, explains, accepted),
    st.integers(0, 5),
    st.sampled_from(["stop", "caution", "note"]),
    st.lists(st.integers(0, 5).map("r{}".format), max_size=3).map(tuple),
    st.booleans(),
)
findings = st.lists(raised, max_size=6, unique_by=lambda finding: finding.id)
unknowns = st.lists(
    st.builds(Untold, st.just("u@p"), st.sampled_from(["stop", "caution", "note"])), max_size=2
)


@given(findings, raised, unknowns)
def test_one_more_finding_never_makes_the_verdict_better(found, more, unknown):
    before, after = decide(found, unknown).verdict, decide([*found, more], unknown).verdict
    assert ORDER.index(after) <= ORDER.index(before)


@given(findings, unknowns)
def test_every_verdict_but_go_names_what_decides_it_once(found, unknown):
    decision = decide(found, unknown)
    assert bool(decision.decided_by) is (decision.verdict != "go")
    if decision.verdict != "cannot_tell_yet":
        assert len(set(decision.decided_by)) == len(decision.decided_by)
        assert set(decision.decided_by) <= {finding.id for finding in found if not finding.accepted}


def test_a_root_has_just_those_consequences_that_it_explains():
    root = Raised("disc@path", "disc", "caution", explains=("more", "disc"))
    more, elsewhere, other = (
        Raised(f"{n}@path", n.rstrip("2"), "caution") for n in ("more", "more2", "other")
    )
    assert consequences(root, [root, more, elsewhere, other]) == ("more@path", "more2@path")
    assert consequences(other, [root, more]) == ()
