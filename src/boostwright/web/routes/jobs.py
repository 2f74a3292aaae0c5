"""Long work: plan, what-if, bands and sheets as jobs that tell how far they are, can be stopped, and keep their results
for a while. A result is what the command line prints with ``--json``, to the letter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from fastapi import APIRouter, Path, Request
from pydantic import Field, StringConstraints, field_validator
from pydantic_core import to_json
from starlette.responses import Response

from boostwright.web.answers import answer, answer_text
from boostwright.web.models import FAULTS, BuildName, ChangedBuild, FaultModel, Shape, Strict
from boostwright.web.refusals import fault_of, refused

if TYPE_CHECKING:
    from boostwright.web.jobs import Job, JobKeeper

__all__ = [
    "BandsJob",
    "FigureOfMerit",
    "Hold",
    "JobAnswer",
    "JobList",
    "JobName",
    "JobState",
    "PlanJob",
    "WhatIfBasis",
    "WhatIfJob",
    "bands",
    "figures",
    "hold",
    "job_state",
    "jobs",
    "keeper_of",
    "only_posted",
    "plan",
    "router",
    "sheet_page",
    "sheet_pdf",
    "sheets",
    "stop",
    "table",
    "whatif",
]

router = APIRouter(prefix="/api/jobs", tags=["jobs"], responses=FAULTS)

_HIGHEST_SPEED = 3000.0
_MOST_SPEEDS = 200
_MOST_SAMPLES = 20_000
_MOST_POINTS = 500_000

Speeds = Annotated[
    list[Annotated[float, Field(gt=0.0, le=_HIGHEST_SPEED)]] | None,
    Field(
        min_length=1,
        max_length=_MOST_SPEEDS,
        description="Engine speeds [rad/s]; null takes the build's.",
    ),
]
Seed = Annotated[int, Field(ge=0, le=2_147_483_647)]
Line = Annotated[str, StringConstraints(min_length=1, max_length=20_000)]
Lines = Annotated[list[Line], Field(max_length=200)]
Words = Annotated[str, StringConstraints(max_length=200)]
Name = Annotated[str, Path(pattern="^[0-9a-f]{16}$", description="Name of the job, as it was given.")]
SheetName = Annotated[
    str, Path(pattern="^[a-z-]{1,40}$", description="order-sheet, go-no-go, dyno-card or pocket-card.")
]


class _AtSpeeds(ChangedBuild):
    """What is asked at engine speeds."""

    speeds: Speeds = None

    @field_validator("speeds")
    @classmethod
    def _rising(cls, speeds: list[float] | None) -> list[float] | None:
        """Each once, in their order, as on the command line."""
        return speeds and sorted(set(speeds))


class PlanJob(_AtSpeeds):
    """A plan, or the sheets of one; null takes what the build says."""

    samples: Annotated[int, Field(ge=0, le=_MOST_SAMPLES)] | None = Field(
        None, description="Days drawn from what is not known; 0 draws none."
    )
    seed: Seed | None = None


class WhatIfJob(_AtSpeeds):
    """A what-if, its texts as on the command line; with no vary and no cards, the build's whatif.toml or the parts of
    its [plan]."""

    vary: Lines = Field(
        default_factory=list, description="KEY=VALUES", examples=[["wastegate.valve_diameter=38, 44, 50 mm"]]
    )
    cards: Lines = Field(default_factory=list, description="KIND=NAME, NAME")
    one_at_a_time: bool = False
    rank_by: Words = ""
    between: Words = Field("", description="Speeds of the torque area, such as 2500 to 6000 rpm")
    creep_floor: Words = Field("", description="Boost that must be held, such as 150 kPa absolute")
    compare: Annotated[list[Words], Field(max_length=5)] = Field(
        default_factory=list, description="Numbers or names of two to five cases to lay side by side."
    )
    resume: bool = Field(True, description="Go on with such a run where one was stopped.")
    anew: bool = Field(False, description="Begin such a run again.")


class BandsJob(_AtSpeeds):
    """A prediction with bands."""

    mode: Literal["gate-shut", "spring", "target", "gate-open", "no-turbo"] | None = None
    samples: Annotated[int, Field(ge=20, le=_MOST_SAMPLES)] = 1000
    seed: Seed = 1
    propagate: bool = Field(False, description="The law of propagation beside the samples, to compare.")


class Hold(Strict):
    """Whether a result stays when a newer one of its kind comes."""

    held: bool


class JobName(Shape):
    """A job that was begun."""

    job: str


class JobState(Shape):
    """How far a job is.

    build     name of the build it is of
    stamp     of build.toml as it stood when the job was begun
    settings  what was laid over it, each section.key=text
    options   what was asked besides
    of        0 where it cannot be told how much there is
    files     names of what can be fetched beside the result: table.csv, or sheets
    faults    why it failed
    """

    job: str
    build: str
    stamp: str
    settings: list[str]
    options: dict[str, Any]
    kind: Literal["plan", "whatif", "bands", "sheets"]
    state: Literal["waiting", "running", "done", "failed", "stopped"]
    done: int
    of: int
    words: str
    held: bool
    files: list[str]
    faults: list[FaultModel]


class JobAnswer(JobState):
    """How far a job is and, when it is done, what it gave: what the command line prints with --json."""

    result: dict[str, Any] | None = None


class JobList(Shape):
    """Every job there is, the oldest first."""

    jobs: list[JobState]


class FigureOfMerit(Shape):
    """What cases can be ranked by; ``better`` is more or less of it."""

    name: str
    words: str
    unit: str
    basis: str
    better: Literal["more", "less"]


class WhatIfBasis(Shape):
    """What a what-if can be asked for; ``written`` is true where the build has a whatif.toml of its own."""

    figures: list[FigureOfMerit]
    written: bool


def keeper_of(request: Request) -> JobKeeper:
    """The keeper of the jobs, made when it is first needed."""
    desk = request.app.state.desk
    with desk.lock:
        keeper: JobKeeper | None = desk.kept.get("jobs")
        if keeper is None:
            import atexit

            from boostwright.web.jobs import JobKeeper

            keeper = desk.kept["jobs"] = JobKeeper()
            atexit.register(keeper.close)
    return keeper


def _begin(request: Request, kind: str, asked: ChangedBuild, build: str | None) -> Response:
    from boostwright.tasks.edit_build import read_stamped

    desk = request.app.state.desk
    folder = desk.named(build)
    stamp = read_stamped(folder)[1]
    options = asked.model_dump(exclude={"changes"})
    settings = [f"{key}={text or ''}" for key, text in asked.changes.items()]
    job = keeper_of(request).start(kind, str(folder), settings, options, desk.name_of(build), stamp)
    return answer({"job": job.name}, 202)


def _too_many(speeds: list[float] | None, samples: int | None) -> Response | None:
    """Refuse what would fill the memory of a small machine."""
    if len(speeds or []) * (samples or 0) <= _MOST_POINTS:
        return None
    return refused(
        f"{samples} samples at {len(speeds or [])} speeds are more than {_MOST_POINTS} points.",
        422,
        key="samples",
        value=str(samples),
        remedy="Ask for fewer samples or fewer speeds; the command line takes more.",
    )


_BEGUN: dict[int | str, dict[str, Any]] = {202: {"answer": JobName}}


@router.post("/plan", response_model=None, status_code=202, responses=_BEGUN)
def plan(request: Request, asked: PlanJob, build: BuildName = None) -> Response:
    """Plan the most torque inside every limit."""
    return _too_many(asked.speeds, asked.samples) or _begin(request, "plan", asked, build)


@router.post("/whatif", response_model=None, status_code=202, responses=_BEGUN)
def whatif(request: Request, asked: WhatIfJob, build: BuildName = None) -> Response:
    """Try other parts or other numbers, many at a time."""
    return _begin(request, "whatif", asked, build)


@router.post("/bands", response_model=None, status_code=202, responses=_BEGUN)
def bands(request: Request, asked: BandsJob, build: BuildName = None) -> Response:
    """Predict with a band on every quantity."""
    return _too_many(asked.speeds, asked.samples) or _begin(request, "bands", asked, build)


@router.post("/sheets", response_model=None, status_code=202, responses=_BEGUN)
def sheets(request: Request, asked: PlanJob, build: BuildName = None) -> Response:
    """Order sheet, go / no-go, dyno card and pocket card of a plan; the last plan is used where it is the same."""
    return _too_many(asked.speeds, asked.samples) or _begin(request, "sheets", asked, build)


@router.get("", response_model=None, responses={200: {"answer": JobList}})
def jobs(request: Request) -> Response:
    """Every job there is."""
    return answer({"jobs": [_state(job) for job in keeper_of(request).all()]})


@router.get("/whatif/figures", response_model=None, responses={200: {"answer": WhatIfBasis}})
def figures(request: Request, build: BuildName = None) -> Response:
    """Figures of merit that cases can be ranked by, and whether the build has choices written down."""
    from boostwright.tasks.whatif_file import WHATIF_FILE
    from boostwright.tasks.whatif_result import FIGURES

    folder = request.app.state.desk.named(build)
    found = [
        {
            "name": figure.name,
            "words": figure.words,
            "unit": figure.unit,
            "basis": figure.basis,
            "better": "more" if figure.more_is_better else "less",
        }
        for figure in FIGURES.values()
    ]
    return answer({"figures": found, "written": (folder / WHATIF_FILE).is_file()})


@router.api_route("/plan", methods=["GET", "DELETE"], include_in_schema=False)
@router.api_route("/whatif", methods=["GET", "DELETE"], include_in_schema=False)
@router.api_route("/bands", methods=["GET", "DELETE"], include_in_schema=False)
@router.api_route("/sheets", methods=["GET", "DELETE"], include_in_schema=False)
def only_posted() -> Response:
    """A kind of job is no job's name: there is nothing to read here."""
    response = refused("Method Not Allowed.", 405)
    response.headers["allow"] = "POST"
    return response


@router.get("/{job}", response_model=None, responses={200: {"answer": JobAnswer}})
def job_state(request: Request, job: Name) -> Response:
    """How far a job is, and its result when it is done."""
    found = keeper_of(request).get(job)
    head = to_json(_state(found)).decode()
    result = found.blocks.get("result", b"null").decode()
    return answer_text(f'{head[:-1]},"result":{result.rstrip()}}}')


@router.delete("/{job}", response_model=None, responses={200: {"answer": JobState}})
def stop(request: Request, job: Name) -> Response:
    """Stop a job that waits or runs; forget one that has ended."""
    return answer(_state(keeper_of(request).stop(job)))


@router.post("/{job}/hold", response_model=None, responses={200: {"answer": JobState}})
def hold(request: Request, job: Name, wanted: Hold) -> Response:
    """Keep a result when a newer one of its kind comes, or let it go."""
    try:
        return answer(_state(keeper_of(request).hold(job, wanted.held)))
    except ValueError as error:
        return refused(str(error), 409)


@router.get("/{job}/table.csv", response_model=None, responses={200: {"content": {"text/csv": {}}}})
def table(request: Request, job: Name) -> Response:
    """The table of a plan, of a what-if or of bands as CSV, as the command line writes it."""
    return _block(request, job, "table.csv", "text/csv; charset=utf-8")


@router.get(
    "/{job}/sheets/{sheet}.pdf", response_model=None, responses={200: {"content": {"application/pdf": {}}}}
)
def sheet_pdf(request: Request, job: Name, sheet: SheetName) -> Response:
    """One sheet as PDF."""
    return _block(request, job, f"{sheet}.pdf", "application/pdf")


@router.get("/{job}/sheets/{sheet}", response_model=None, responses={200: {"answer": dict[str, Any]}})
def sheet_page(request: Request, job: Name, sheet: SheetName) -> Response:
    """One sheet in the words and figures of its PDF, block by block."""
    return _block(request, job, f"{sheet}.json", "application/json")


def _state(job: Job) -> dict[str, Any]:
    return {
        "job": job.name,
        "build": job.build,
        "stamp": job.stamp,
        "settings": job.asked["settings"],
        "options": job.asked["options"],
        "kind": job.kind,
        "state": job.state,
        "done": job.done,
        "of": job.of,
        "words": job.words,
        "held": job.held,
        "files": [name for name in job.blocks if name != "result" and not name.endswith(".json")],
        "faults": [fault_of(fault) for fault in job.faults],
    }


def _block(request: Request, job: str, name: str, kind: str) -> Response:
    found = keeper_of(request).get(job)
    data = found.blocks.get(name)
    if data is None:
        words = "has nothing of that name" if found.state == "done" else f"is {found.state}"
        return refused(f"The job {words}.", 404, key=name)
    return Response(data, media_type=kind)
