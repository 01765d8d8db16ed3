"""The client that openapi-python-client makes of the contract: all of it imported, a check asked, a build refused.

Arguments: the folder it was made in, and the address of the service.
"""

import importlib
import pkgutil
import sys

folder, address = sys.argv[1:]
sys.path.insert(0, folder)

import upfeed_client  # noqa: E402

for module in pkgutil.walk_packages(upfeed_client.__path__, "upfeed_client."):
    importlib.import_module(module.name)

from upfeed_client.api.default import check_build, get_part  # noqa: E402
from upfeed_client.models import Answer, Build, Part, Problem, SolvedPoint  # noqa: E402

lifters = [{"part": "BW-118", "at": "intake"}, {"part": "BW-121", "at": "exhaust"}]
build = Build.from_dict(
    {"format": 1, "family": "tarn-v8", "slots": {"lifter": lifters}, "settings": {"preload": "25 thou"}}
)
assert build.to_dict()["slots"]["lifter"] == lifters
with upfeed_client.Client(base_url=address) as service:
    answer = check_build.sync(client=service, body=build, samples=0)
    assert isinstance(answer, Answer)
    assert answer.verdict == "stop"
    assert any(finding.weighs == "stop" and finding.place.at == "exhaust" for finding in answer.findings)
    assert any(isinstance(point, SolvedPoint) for point in answer.points)

    wrong = Build.from_dict({"format": 1, "family": "tarn-v8", "slots": {"lifter": "BW-1180"}})
    refused = check_build.sync_detailed(client=service, body=wrong)
    assert refused.status_code == 422
    assert isinstance(refused.parsed, Problem)
    assert [flaw.pointer for flaw in refused.parsed.errors] == ["/slots/lifter"]

    part = get_part.sync(client=service, part="BW-118")
    assert isinstance(part, Part)
    assert part.id == "BW-118"

print(f"python: {answer.verdict}, {len(answer.findings)} findings; {refused.parsed.title}")
