"""What can be wrong with the vocabulary's spreads."""

import shutil
from pathlib import Path

import pytest

from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.faults import DataFaults

SHIPPED = Path(__file__).parents[2] / "shared" / "vocabulary"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("slip: {measured: 15 %", "slip: {measured: 15 mm", '"15 mm", a length'),
        ("slip: {measured: 15 %", "slip: {measured: -15 %", "without a sign"),
        ("slip: {measured: 15 %, ", "slip: {", "slip, measured: found nothing"),
        ("  slip: {measured", "  slipp: {measured", 'the unknown key "slipp"'),
        ("lifter.feed_hole\n", "lifter.feed_hoel\n", "Did you mean lifter.feed_hole, "),
        (
            "of: [lifter.disc_rise]",
            "of: [lifter.disc_rise, lifter.feed_hole]",
            "lifter.feed_hole a second time",
        ),
        ("  - points.speed\n", "", "none for points.speed"),
        ("  - points.speed\n", "  - points.speed\n  - block.main_count\n", '"block.main_count"'),
        ("{measured: 20 %, published: 25 %", "{measured: 20 %, guessed: 25 %", 'the unknown key "guessed"'),
        ("classes:\n", "clases:\n", 'the unknown key "clases"'),
    ],
)
def test_faults_name_the_file_and_what_is_wrong(tmp_path, old, new, told):
    folder = tmp_path / "shared" / "vocabulary"
    shutil.copytree(SHIPPED, folder)
    text = (folder / "spreads.yaml").read_text()
    assert old in text
    (folder / "spreads.yaml").write_text(text.replace(old, new, 1))
    with pytest.raises(DataFaults) as wrong:
        read_vocabulary(folder)
    faults = [str(fault) for fault in wrong.value.faults]
    assert any(told in fault for fault in faults), faults
    assert all(fault.startswith("shared/vocabulary/spreads.yaml, line ") for fault in faults)
