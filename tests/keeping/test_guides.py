"""The guides tell every rule and every attribute, and the generator knows when files are out of step."""

from click.testing import CliRunner

from upfeed.keeping.guides import guides, main


def test_every_rule_is_told_with_what_it_says_and_rests_on(library):
    text = guides(library)["rules.md"].decode()
    for rule in library.rulebook.rules.values():
        _, _, after = text.partition(f", `{rule.id}`, asked along")
        page, _, _ = after.partition("\n### ")
        assert rule.why in page
        assert all(f"`{limit}` is " in page for limit in rule.limits)
        assert all(f"- where `{let.name}` is" in page for let in rule.lets)
        assert f"{len(rule.cases)} cases" in page
    assert text.count("\n### ") == len(library.rulebook.rules)


def test_every_attribute_is_told_with_how_and_with_what_it_is_measured(library):
    text = guides(library)["measuring.md"].decode()
    for kind in library.vocabulary.kinds.values():
        _, _, section = text.partition(f"\n## {kind.name.replace('_', ' ').capitalize()}\n")
        rows = [line for line in section.partition("\n## ")[0].splitlines() if line.startswith("| `")]
        assert len(rows) == len(kind.attributes)
        for row, attribute in zip(rows, kind.attributes.values(), strict=True):
            cells = [cell.strip() for cell in row.split("|")[1:-1]]
            assert cells[:4] == [f"`{attribute.name}`", attribute.definition, attribute.how, attribute.tool]
            assert len(cells) == 6


def test_the_generator_tells_files_that_are_out_of_step(tmp_path):
    run = CliRunner()
    assert run.invoke(main, ["--write", "--folder", str(tmp_path)]).exit_code == 0
    assert run.invoke(main, ["--check", "--folder", str(tmp_path)]).exit_code == 0
    (tmp_path / "rules.md").write_text("old")
    stale = run.invoke(main, ["--check", "--folder", str(tmp_path)])
    assert stale.exit_code == 1
    assert "rules.md" in stale.output
