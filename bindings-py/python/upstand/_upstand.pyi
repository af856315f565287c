"""The compiled half of the package: import its names from `upstand`."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar, Literal, Protocol, TypeAlias, final, type_check_only

from typing_extensions import Self

from upstand._error import Error

__all__ = [
    "Adjusted",
    "CutBar",
    "CutList",
    "Finding",
    "Job",
    "Piece",
    "Plan",
    "Progress",
    "Report",
    "Roof",
    "TradeOff",
    "__version__",
    "adjust",
    "check",
    "check_cut_list",
    "check_record",
    "close_traverse",
    "cut_list",
    "dew_point",
    "drain",
    "error_codes",
    "frost_point",
    "mitre",
    "plan",
    "print_imperial",
    "read_imperial",
    "solve_cutting",
    "trade_offs",
]

__version__: str

_Kind: TypeAlias = Literal["drip", "abutment", "open_side"]
_Text: TypeAlias = str | bytes | bytearray

@type_check_only
class _Number(Protocol):
    """Anything that turns into a float: int, float, Decimal, NumPy's scalars."""

    def __float__(self) -> float: ...

@type_check_only
class _Array(Protocol):
    """A NumPy array or a column of a data frame."""

    @property
    def dtype(self) -> Any: ...
    def tolist(self) -> Any: ...

@type_check_only
class _HasGeoInterface(Protocol):
    """A geometry or feature of any library that speaks `__geo_interface__`."""

    @property
    def __geo_interface__(self) -> Mapping[str, Any]: ...

_Numbers: TypeAlias = Sequence[_Number] | _Array
_Bar: TypeAlias = (
    _Number
    | tuple[_Number]
    | tuple[_Number, int | None]
    | tuple[_Number, int | None, int | None]
    | Mapping[str, _Number | None]
)
_Kinds: TypeAlias = _Kind | Sequence[_Kind]
_Geometry: TypeAlias = _HasGeoInterface | Mapping[str, Any] | _Text
_Job: TypeAlias = Job | Roof | Mapping[str, Any] | Sequence[Roof | Mapping[str, Any]] | _Text

def mitre(
    section: dict[str, Any], interior_deg: float, *, rise_before: float = 0.0, rise_after: float = 0.0
) -> dict[str, Any]:
    """Mitres a section at a corner, without a roof.

    Args:
        section: A section as in a system: `points`, `deck_flange`, `face`, `thickness`.
        interior_deg: Interior angle in plan: under 180 at outer corners, over 180 at inner ones; from 10 to 350.
        rise_before: How the edge before the corner rises towards it: rise per run, negative where it falls.
        rise_after: How the edge after the corner rises away from it.

    Returns:
        The interior angle in the plane of the two edges, and the two ends with long and short point, hand, the mark
        across the flat and the cut of every facet.

    Raises:
        Error: The section cannot be bent, or the corner cannot be mitred.

    Example:
        >>> import upstand
        >>> drip = {"points": [[-85, 0], [27, 0], [27, -58]], "deck_flange": 0, "face": 1, "thickness": 1.8}
        >>> upstand.mitre(drip, 90)["ends"][0]["long_point"]
        27
        >>> try:
        ...     upstand.mitre(drip, 180)
        ... except upstand.Error as error:
        ...     error.code
        'bad_corner'
    """

def plan(job: _Job) -> Plan:
    """Works out everything for a job: trims and their cut lists, mat, take-off, findings.

    The same job gives the same plan on every platform and in every language. Other Python threads run meanwhile.

    Args:
        job: A dict, JSON text, a `Job`, a `Roof`, or a list of roofs. A dict may hold NumPy arrays and scalars.

    Returns:
        The plan.

    Raises:
        Error: The job makes no sense; `Error.problems` lists everything that is wrong with it.

    Example:
        >>> import upstand
        >>> square = {"type": "Polygon", "coordinates": [[[0, 0], [5.89, 0], [5.89, 4], [0, 4], [0, 0]]]}
        >>> roof = upstand.Roof.from_geojson(square, kinds=["drip", "open_side", "abutment", "open_side"])
        >>> plan = upstand.plan({"schema": "upstand/job/1", "roofs": [roof.to_dict()]})
        >>> plan.table("runs")["mark"]
        ['D1', 'S1', 'A1', 'S2']
    """

def check(job: _Job) -> list[Error]:
    """Everything that is wrong with a job, in the order of the document; empty if `plan` will take it.

    Args:
        job: As for `plan`.

    Raises:
        Error: The job cannot even be read.

    Example:
        >>> import upstand
        >>> roof = {"outer": {"points": [[0, 0], [4000, 0], [0, 3000]], "kinds": ["drip"]}}
        >>> [(problem.code, problem.path) for problem in upstand.check([roof])]
        [('kind_count', '/roofs/0/outer/kinds')]
    """

def cut_list(
    *,
    runs: _Numbers,
    bar: _Bar | Sequence[_Bar] | _Array,
    quantities: Sequence[int] | _Array | None = None,
    may_join: bool | Sequence[bool] | _Array | None = None,
    lap: _Number | None = None,
    kerf: _Number | None = None,
    trim_off: _Number | None = None,
    least_piece: _Number | None = None,
    clear: _Number | None = None,
    joint_cost: int = 0,
    most_joints: int | None = None,
    least_useful: _Number | None = None,
    minimise: Literal["bars", "cost", "joints"] | None = None,
    nodes: int | None = None,
    seconds: float | None = None,
    watch: Callable[[Progress], object] | None = None,
) -> CutList:
    """Which bars to buy and how to cut them, where a run may be joined from pieces that lap.

    All lengths are millimetres, exact to the micrometre.

    Args:
        runs: Length of each run to make.
        bar: Length of the bars on offer, a list of lengths, or a list of (length, cost, available). Costs are whole
            numbers of the smallest unit of money, for all bars or for none; without costs a bar costs its length, and
            a single kind is counted. `available` is how many there are; None or left out for as many as wanted. A
            dict with these three names will do as well.
        quantities: How many of each run; by default one.
        may_join: Whether runs may be joined from pieces: one answer for all, or one for each; by default they may.
        lap: Least overlap at a joint; 0 is a butt joint.
        kerf: Width of the saw cut, lost between two pieces of one bar.
        trim_off: Cut off each end of a bar before use.
        least_piece: Least length of a piece of a joined run. A run made in one piece may be shorter.
        clear: Least distance of a lap from either end of its run.
        joint_cost: Cost of a joint, in the unit of the bars' costs; only ``minimise="cost"`` asks for it.
        most_joints: Most joints in one run.
        least_useful: Shortest offcut worth keeping.
        minimise: What is to be least: cost of bars (then joints), cost of bars and joints, or joints (then bars).
        nodes: Most search nodes: the limit of effort that gives the same answer everywhere.
        seconds: Most seconds on the clock; may end the search earlier, with an honest status.
        watch: Called every few milliseconds of a long search with how far it has come: anything true ends the search
            with the best found and its bound. What it raises is raised here, and so is a keyboard interrupt.

    Returns:
        The cut list. A limit that ends the search is no error: see `CutList.status`.

    Raises:
        Error: An argument makes no sense, or a run cannot be cut from the bars on offer. Paths point into the
            problem: ``/runs/3/length`` is ``runs[3]``.

    Example:
        >>> import upstand
        >>> cut = upstand.cut_list(runs=[5950], bar=3000, lap=50)
        >>> cut.bar_count, cut.joint_count
        (2, 1)
        >>> upstand.cut_list(runs=[-1], bar=3000)
        Traceback (most recent call last):
        upstand.Error: /runs/0/length: a run of -1 mm cannot be made: more than 0 and at most 1000000000 mm [bad_run]
    """

def solve_cutting(
    problem: Mapping[str, Any] | _Text,
    *,
    nodes: int | None = None,
    seconds: float | None = None,
    watch: Callable[[Progress], object] | None = None,
) -> CutList:
    """Solves a cutting problem that is given as a document.

    Args:
        problem: A dict or JSON text with ``"schema": "upstand/cutting/1"``. It says what the arguments of `cut_list`
            say and a little more: rules of single runs, and stretches of a run that must stay free of laps.
        nodes: As for `cut_list`.
        seconds: As for `cut_list`.
        watch: As for `cut_list`.

    Raises:
        Error: The problem cannot be read or makes no sense.

    Example:
        >>> import upstand
        >>> bars, runs = [{"length": 3000}], [{"length": 5000, "forbidden": [[2400, 2600]]}]
        >>> cut = upstand.solve_cutting({"schema": "upstand/cutting/1", "bars": bars, "runs": runs})
        >>> cut.bar_count
        2
    """

def trade_offs(
    problem: Mapping[str, Any] | _Text, *, most: int = 10, nodes: int | None = None, seconds: float | None = None
) -> list[TradeOff]:
    """Finds what fewer joints would cost: every cut list that no other beats in both cost and joints.

    Args:
        problem: As for `solve_cutting`, or the `CutList.problem` of a cut list. What it makes least does not matter.
        most: At most so many choices.
        nodes: As for `cut_list`, for each search; a choice takes two.
        seconds: As for `cut_list`, for all searches together.

    Returns:
        The choices, the cheapest first, each dearer and with fewer joints than the one before.

    Raises:
        Error: The problem cannot be read or makes no sense.

    Example:
        >>> import upstand
        >>> cut = upstand.cut_list(runs=[2000, 2000, 2000], bar=3000)
        >>> choices = upstand.trade_offs(cut.problem)
        >>> [(choice.cut_list.bar_count, choice.cut_list.joint_count, choice.proven) for choice in choices]
        [(2, 1, True), (3, 0, True)]
        >>> try:
        ...     upstand.trade_offs({})
        ... except upstand.Error as error:
        ...     error.code
        'wrong_schema'
    """

def check_cut_list(
    problem: Mapping[str, Any] | _Text, answer: CutList | Mapping[str, Any] | _Text
) -> list[tuple[str, str]]:
    """Checks a cut list against its problem, without the solver: every piece, rule and total, and the proven bound.

    Args:
        problem: The problem, such as `CutList.problem`.
        answer: A cut list, or one that was kept as a dict or JSON text.

    Returns:
        Everything that is wrong with it, as (JSON Pointer into the answer, sentence); empty if it holds.

    Raises:
        Error: A document cannot be read.

    Example:
        >>> import upstand
        >>> cut = upstand.cut_list(runs=[900, 900, 900, 900], bar=3000)
        >>> upstand.check_cut_list(cut.problem, cut)
        []
        >>> [place for place, _ in upstand.check_cut_list(cut.problem, {**cut.to_dict(), "bar_count": 1})]
        ['/bar_count']
    """

def adjust(network: Mapping[str, Any] | _Text) -> Adjusted:
    """Finds the positions that fit tape measurements between named points best, and what is probably wrong.

    Args:
        network: A dict or JSON text with ``"schema": "upstand/network/1"``: the outline's points in order,
            counter-clockwise; measurements (``distance``, ``offset``, ``angle``, ``right_angle``, ``in_line``), each
            with a standard deviation of its own if it likes; points that are fixed or sketched. The same stands as
            ``measured`` in a roof of a job.

    Raises:
        Error: A measurement makes no sense, nothing holds a point (``floating_point``), or no positions come near
            (``clash``).

    Example:
        >>> import upstand
        >>> sides = {"AB": 6000, "BC": 4003, "CD": 5998, "DA": 4001, "AC": 7215, "BD": 7208}
        >>> tape = [{"distance": {"from": a, "to": b, "length": mm}} for (a, b), mm in sides.items()]
        >>> network = {"schema": "upstand/network/1", "outline": ["A", "B", "C", "D"], "measurements": tape}
        >>> upstand.adjust(network).points[2]
        ('C', 6002.59, 4003.033)
        >>> upstand.adjust({**network, "measurements": tape[:4]})
        Traceback (most recent call last):
        ...
        upstand.Error: /measurements: point ... [floating_point]
    """

def close_traverse(
    legs: Sequence[tuple[float, float]], *, start: tuple[float, float] | None = None
) -> tuple[list[tuple[float, float]], tuple[float, float]]:
    """Closes a traverse by the compass rule.

    Args:
        legs: Length and azimuth of each leg; azimuths in degrees clockwise from +y.
        start: Where it begins; by default the origin.

    Returns:
        The corners, beginning with the start, and how far the walk missed it in x and in y.

    Raises:
        Error: Fewer than three legs, or a leg that is none.

    Example:
        >>> import upstand
        >>> corners, missed = upstand.close_traverse([(6000, 90), (4000, 0), (6010, 270), (4000, 180)])
        >>> [(round(x, 1), round(y, 1)) for x, y in corners]
        [(0.0, 0.0), (6003.0, 0.0), (6005.0, 4000.0), (-2.0, 4000.0)]
        >>> upstand.close_traverse([(6000, 90), (4000, 0)])
        Traceback (most recent call last):
        ...
        upstand.Error: 2 legs close nothing: at least 3 [bad_measurement]
    """

def read_imperial(text: _Text) -> float:
    r"""Millimetres of a length in feet and inches.

    Raises:
        Error: It is no such length.

    Example:
        >>> import upstand
        >>> upstand.read_imperial("12' 6 3/8\"")
        3819.525
        >>> upstand.read_imperial("six feet")
        Traceback (most recent call last):
        ...
        upstand.Error: "six feet" is not feet and inches, such as 12' 6 3/8" [bad_measurement]
    """

def print_imperial(length: float, *, denominator: int = 16) -> str:
    r"""A length in feet, inches and a fraction of 1/`denominator` inch.

    Raises:
        Error: A denominator of 0, or a length out of range.

    Example:
        >>> import upstand
        >>> upstand.print_imperial(457.2)
        '1\' 6"'
    """

def dew_point(air_c: float, humidity_percent: float) -> float:
    """Dew point of air, in degrees Celsius; over water also below zero.

    Raises:
        Error: Air outside -40 to 50 degrees Celsius, or a humidity outside 1 to 100 %.

    Example:
        >>> import upstand
        >>> round(upstand.dew_point(20, 50), 2)
        9.26
        >>> upstand.dew_point(20, 0)
        Traceback (most recent call last):
        ...
        upstand.Error: air of 20 degrees Celsius at 0 % is out of range: ... [bad_reading]
    """

def frost_point(air_c: float, humidity_percent: float) -> float:
    """Frost point of air, in degrees Celsius: where frost forms. It means something only below zero.

    Humidity is relative to liquid water, as hygrometers and forecasts give it.

    Raises:
        Error: Air outside -40 to 50 degrees Celsius, or a humidity outside 1 to 100 %.

    Example:
        >>> import upstand
        >>> round(upstand.frost_point(0.01, 50), 2)
        -8.15
        >>> upstand.frost_point(-60, 50)
        Traceback (most recent call last):
        ...
        upstand.Error: air of -60 degrees Celsius at 50 % is out of range: ... [bad_reading]
    """

def drain(
    roof: Roof | Mapping[str, Any] | _Text, levels: Sequence[Mapping[str, Any]] | None = None
) -> dict[str, Any] | None:
    """Falls, ponds and the ways of water on one roof whose corners have levels.

    Args:
        roof: A roof, or one as it stands in a job: ``outer`` with ``points``, ``kinds`` and ``levels``, and
            ``outlets`` if any.
        levels: Further levels inside, each ``{"at": [x, y], "level": z}`` in millimetres.

    Returns:
        A dict with ``slopes``, ``ponds``, ``ways_out`` and ``met``, as a plan's roof has it under ``drainage``; None
        where a corner has no level.

    Raises:
        Error: The roof is not sound, or a level is none.

    Example:
        >>> import upstand
        >>> roof = {"outer": {"points": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], "levels": [0, 0, 60, 60],
        ...     "kinds": ["drip", "open_side", "abutment", "open_side"]}}
        >>> upstand.drain(roof)["slopes"][0]["fall"]
        0.02
        >>> upstand.drain(roof, [{"at": [2000, 1500], "level": -20}])["ponds"][0]["depth"]
        20
        >>> upstand.drain(roof, [{"at": [2000, 1500]}])
        Traceback (most recent call last):
        ...
        upstand.Error: /levels/0/level: missing field `level` [missing_field]
    """

def check_record(record: Mapping[str, Any] | _Text) -> Report:
    """Holds what was really done against the plan of its job: doses, pot lives, windows, weather, amounts.

    Args:
        record: A dict or JSON text with ``"schema": "upstand/record/1"``. It carries the job, readings, mixes and
            coats.

    Raises:
        Error: The record cannot be read, or contradicts itself; `Error.problems` has everything.

    Example:
        >>> import upstand
        >>> outer = {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip"] * 4}
        >>> job = {"schema": "upstand/job/1", "roofs": [{"outer": outer}]}
        >>> mix = {"at": "2027-05-03T13:05", "layer": "resin", "mass_kg": 2, "hardener_g": 30, "surface_c": 12}
        >>> report = upstand.check_record({"schema": "upstand/record/1", "job": job, "mixes": [mix]})
        >>> report.findings[0].code, report.findings[0].limit
        ('mix_underdosed', 40.0)
        >>> upstand.check_record({"schema": "upstand/record/1"})
        Traceback (most recent call last):
        upstand.Error: /job: missing field `job` [missing_field]
    """

def error_codes() -> list[tuple[str, int, str]]:
    """Every code that an `Error` can have: its name, its number, and when it occurs.

    Example:
        >>> import upstand
        >>> {code: number for code, number, _ in upstand.error_codes()}["self_crossing"]
        108
    """

@final
class Adjusted:
    """The positions that fit tape measurements best: what `adjust` returns."""

    @staticmethod
    def from_json(text: _Text) -> Adjusted:
        """Reads a result that was kept as JSON text.

        Raises:
            Error: It cannot be read.
        """
    @property
    def points(self) -> list[tuple[str, float, float]]:
        """Name, x and y of every point, the outline's first."""
    @property
    def suspects(self) -> list[str]:
        """The most likely blunders, in words: one, several that cannot be told apart, or none."""
    def to_dict(self) -> dict[str, Any]:
        """Everything as a dict: points with their error ellipses, sides, residuals, the global test."""
    def to_json(self) -> str:
        """The result as canonical JSON text: the same bytes as from every other language."""
    def __eq__(self, other: object, /) -> bool: ...
    def __ne__(self, other: object, /) -> bool: ...

@final
class Roof:
    """One roof as measured: its outline, holes, outlets and pipes.

    Roofs never change, compare by value and survive pickling.
    """

    @staticmethod
    def from_geojson(
        geometry: _Geometry,
        kinds: _Kinds,
        units: Literal["m", "mm"] = "m",
        *,
        hole_kinds: _Kind | Sequence[_Kinds] | None = None,
        name: str | None = None,
        outlets: Sequence[tuple[_Number, _Number, _Number]] | _Array | None = None,
        pipes: Sequence[tuple[_Number, _Number, _Number]] | _Array | None = None,
    ) -> Roof:
        """Makes a roof of a GeoJSON polygon.

        The coordinates are lengths in a local plane, x to the right and y up: project geographic degrees first. An
        altitude is passed over, and so is the repeated closing point of a ring. A point that repeats the one before
        is dropped, with the kind of the edge of no length between them. Rings may run either way round.

        Args:
            geometry: Anything with `__geo_interface__` (of Shapely or GeoPandas, say), a GeoJSON dict, or GeoJSON text:
                a Polygon, a MultiPolygon of one, a Feature, or a FeatureCollection of one.
            kinds: What happens at the edges of the outline: one kind for all, or a list with one for each, the first
                for the edge from the first point to the second. Water leaves over a ``"drip"``, stops at an
                ``"abutment"``, is held back by an ``"open_side"``.
            units: Unit of the coordinates.
            hole_kinds: The same for the holes: one kind, or a list with an entry for each hole. By default the edges of
                holes are abutments, the sides of a kerb.
            name: Name printed on drawings.
            outlets: Outlets as (x, y, diameter), in the unit of the coordinates: water leaves through them.
            pipes: Pipes that come up through the roof, given in the same way. Names and heights
                go into the roof as it stands in a job.

        Raises:
            Error: The geometry is not one polygon of finite numbers, or the kinds do not match its edges. Whether the
                outline makes sense (crosses itself, say) is for `check` and `plan` to say.

        Example:
            >>> import upstand
            >>> geometry = {"type": "Polygon", "coordinates": [[[0, 0], [6, 0], [6, 4], [0, 0]]]}
            >>> upstand.Roof.from_geojson(geometry, kinds="drip").to_dict()["outer"]["points"]
            [[0, 0], [6000, 0], [6000, 4000]]
            >>> upstand.Roof.from_geojson(geometry, kinds=["drip", "abutment"])
            Traceback (most recent call last):
            upstand.Error: /kinds: 2 kinds for 3 edges: one for each is needed [kind_count]
        """

    @staticmethod
    def from_dict(roof: Mapping[str, Any]) -> Roof:
        """Reads a roof as it stands in a job."""

    @staticmethod
    def from_json(text: _Text) -> Roof:
        """Reads a roof from JSON text."""

    @property
    def name(self) -> str | None:
        """Name printed on drawings."""

    def to_dict(self) -> dict[str, Any]:
        """The roof as it stands in a job."""

    def to_json(self) -> str:
        """The roof as JSON text."""

    def __eq__(self, other: object, /) -> bool: ...
    def __reduce__(self) -> tuple[Any, tuple[str]]: ...

@final
class Job:
    """All that is known before planning.

    Jobs never change, compare by value and survive pickling. A part that is left out has its documented default: the
    system, for one, is then the built-in demonstration system.

    Args:
        roofs: The roofs; they share stock and are cut together.
        name: Name printed on sheets.
        system: Materials and rules.
        stock: Bars and offcuts on hand.
        preferences: What the contractor prefers.
        survey: What was found on site.
        programme: When the work may be done: with it the plan has a schedule.
        prices: Prices of the day, in place of the system's.
        alternatives: What the plan compares: other bars, another mat, fewer joints.

    Raises:
        Error: A part cannot be read. Whether the roofs make sense is for `check` and `plan` to say.

    Example:
        >>> import upstand
        >>> upstand.Job(roofs=[], preferences={"minimise": "joints"}).to_dict()["preferences"]["minimise"]
        'joints'
        >>> upstand.Job(roofs=[], preferences={"maximise": "joints"})
        Traceback (most recent call last):
        upstand.Error: /preferences/maximise: unknown field `maximise`, expected one of ... [unknown_field]
    """

    def __new__(
        cls,
        *,
        roofs: Sequence[Roof | Mapping[str, Any]],
        name: str | None = None,
        system: Mapping[str, Any] | None = None,
        stock: Mapping[str, Any] | None = None,
        preferences: Mapping[str, Any] | None = None,
        survey: Mapping[str, Any] | None = None,
        programme: Mapping[str, Any] | None = None,
        prices: Sequence[Mapping[str, Any]] | None = None,
        alternatives: Sequence[Mapping[str, Any]] | None = None,
    ) -> Self: ...
    @staticmethod
    def from_dict(job: Mapping[str, Any]) -> Job:
        """Reads a job from a dict; it may hold NumPy arrays and scalars."""

    @staticmethod
    def from_json(text: _Text) -> Job:
        """Reads a job from JSON text."""

    @property
    def name(self) -> str | None:
        """Name printed on sheets."""

    def outlined(self) -> Job:
        """The same job with every measured roof given by the coordinates of its adjusted outline.

        Raises:
            Error: As for `adjust`.
        """
    def to_dict(self) -> dict[str, Any]:
        """The job as a dict, with every default filled in."""

    def to_json(self) -> str:
        """The job as canonical JSON text, with every default filled in."""

    def __eq__(self, other: object, /) -> bool: ...
    def __reduce__(self) -> tuple[Any, tuple[str]]: ...

@final
class Plan:
    """All that the library works out for a job.

    Plans never change, compare by value and survive pickling. Notebooks show them as a drawing.
    """

    tables: ClassVar[list[str]]
    """Names of the tables that `table` makes."""

    @staticmethod
    def from_json(text: _Text) -> Plan:
        """Reads a plan that was kept as JSON text."""

    @property
    def name(self) -> str | None:
        """The job's name."""

    @property
    def findings(self) -> list[Finding]:
        """What the checks found, gravest first."""

    @property
    def cautions(self) -> list[str]:
        """Cautions that belong to the work as a whole."""

    def table(self, name: str) -> dict[str, list[Any]]:
        """One list of the plan as columns of equal length, ready for ``pandas.DataFrame(plan.table("pieces"))``.

        Args:
            name: One of `tables`. Each column's name ends in its unit where it has one.

        Raises:
            Error: There is no such table.
        """

    def svg(self, *, roof: int | None = None) -> str:
        """The drawing as SVG.

        Args:
            roof: Which roof, from 0; by default all on one sheet.

        Raises:
            Error: There is no such roof.
        """

    def cut_list_svg(self) -> str:
        """The cutting sheets as SVG."""

    def mat_svg(self) -> str:
        """The lay-out of the mat as SVG: a sheet for each roof, its pieces in laying order."""

    def cut_list_text(self) -> str:
        """The cut lists as plain text for a terminal."""

    def schedule_text(self) -> str:
        """The schedule as plain text, day by day; empty where the job has no programme.

        Example:
            >>> import upstand
            >>> outer = {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "kinds": ["drip"] * 4}
            >>> job = upstand.Job(roofs=[{"outer": outer}], programme={"start": "2027-05-03"})
            >>> upstand.plan(job).schedule_text().splitlines()[0]
            'SCHEDULE for a crew of 2: Mon 08:00 to Tue 09:00'
            >>> upstand.Job(roofs=[], programme={"start": "3 May"})
            Traceback (most recent call last):
            upstand.Error: /programme/start: "3 May" is not a date from 1900 to 2199, such as 2027-05-03 [bad_date]
        """

    def schedule_svg(self) -> str:
        """The schedule as bars over time, as SVG; no sheet where the job has no programme."""

    def mixing_text(self) -> str:
        """The mixing cards as plain text: doses, batches and the pieces that each is for."""

    def template_svg(self, *, paper: str = "A4") -> str:
        """Full-size templates of mitred, notched and returned ends as SVG: print without scaling.

        ``paper`` is a sheet size of ISO 216 from ``"A0"`` to ``"A4"``: ``template_svg(paper="A3")``. Any other raises
        ``Error`` with code ``bad_argument``: ``template_svg(paper="foolscap")``. What is longer than a sheet is tiled.
        """

    def order_svg(self) -> str:
        """The order sheets as SVG."""

    def order_csv(self) -> str:
        """The order as comma-separated values (RFC 4180)."""

    def to_dict(self) -> dict[str, Any]:
        """The plan as a dict."""

    def to_json(self) -> str:
        """The plan as canonical JSON text: the same bytes as from every other language."""

    def _repr_svg_(self) -> str: ...
    def __eq__(self, other: object, /) -> bool: ...
    def __reduce__(self) -> tuple[Any, tuple[str]]: ...

@final
class Report:
    """The hand-over report of a record.

    Reports never change, compare by value and survive pickling.
    """

    @staticmethod
    def from_json(text: _Text) -> Report:
        """Reads a report that was kept as JSON text."""

    @property
    def findings(self) -> list[Finding]:
        """What the check found, gravest first; places are JSON Pointers into the record."""

    def text(self) -> str:
        """The report for a person to read, to complete by hand and to sign."""

    def to_dict(self) -> dict[str, Any]:
        """The report as a dict."""

    def to_json(self) -> str:
        """The report as canonical JSON text."""

    def __eq__(self, other: object, /) -> bool: ...
    def __reduce__(self) -> tuple[Any, tuple[str]]: ...

@final
class Finding:
    """One thing that a check found."""

    @property
    def grade(self) -> Literal["refuse", "caution", "note"]:
        """How grave: do not go on, a person must decide, worth knowing."""

    @property
    def code(self) -> str:
        """Stable name of the check, such as ``"deck_moisture"``."""

    @property
    def place(self) -> str:
        """JSON Pointer into the job of what it is about."""

    @property
    def value(self) -> float | None:
        """The value found, in `unit`."""

    @property
    def limit(self) -> float | None:
        """The limit it was held against, in `unit`."""

    @property
    def unit(self) -> str | None:
        """Unit of value and limit."""

    @property
    def basis(self) -> str:
        """Where the limit comes from."""

    @property
    def text(self) -> str:
        """What was found and what to do next, for the person on the roof."""

    def __eq__(self, other: object, /) -> bool: ...

@final
class CutList:
    """How to cut, and the bound that says how good it is."""

    tables: ClassVar[list[str]]
    """Names of the tables that `table` makes."""

    @property
    def status(self) -> Literal["proven_best", "best_found"]:
        """Whether anything better can exist."""

    @property
    def proven(self) -> bool:
        """Whether the status is ``"proven_best"``."""

    @property
    def bar_count(self) -> int:
        """Bars used."""

    @property
    def joint_count(self) -> int:
        """Joints in all: pieces less runs."""

    @property
    def cost(self) -> int:
        """Cost of the bars used."""

    @property
    def bound(self) -> int:
        """No cut list uses fewer bars."""

    @property
    def bars(self) -> list[CutBar]:
        """Every bar with its pieces, in the order of cutting."""

    @property
    def offcuts(self) -> list[float]:
        """Offcuts worth keeping, longest first."""

    def table(self, name: str) -> dict[str, list[Any]]:
        """Bars or pieces as columns of equal length, ready for ``pandas.DataFrame(cut.table("pieces"))``.

        Args:
            name: One of `tables`.

        Raises:
            Error: There is no such table, or there are more than a million bars.
        """

    @property
    def problem(self) -> dict[str, Any]:
        """The problem that was solved, as a dict: what `solve_cutting` takes."""

    def to_dict(self) -> dict[str, Any]:
        """The cut list as a dict: bars in chains that share runs, with the proof of the bound."""

    def to_json(self) -> str:
        """The cut list as canonical JSON text."""

@final
class TradeOff:
    """One choice between cost and joints."""

    @property
    def cut_list(self) -> CutList:
        """The cut list. Its own bounds are those of the cheapest choice."""

    @property
    def proven(self) -> bool:
        """Whether nothing beats it in both cost and joints, and nothing lies between it and the choice before."""

@final
class CutBar:
    """One bar and its pieces."""

    @property
    def kind(self) -> int:
        """Index into the bars on offer."""

    @property
    def length(self) -> float:
        """Its length."""

    @property
    def pieces(self) -> list[Piece]:
        """Its pieces, from its start."""

    @property
    def offcut(self) -> float:
        """What is left at its end after trim-off and kerf."""

@final
class Progress:
    """How far a search for a cut list has come."""

    @property
    def nodes(self) -> int:
        """Search nodes begun."""

    @property
    def steps(self) -> int:
        """Counted work: roughly, additions with a comparison."""

    @property
    def best(self) -> int | None:
        """The best answer so far, by what is made least first: cost, or joints where these come first."""

    @property
    def bound(self) -> int:
        """No answer is below this."""

@final
class Piece:
    """One piece of one run."""

    @property
    def run(self) -> int:
        """Index of its run."""

    @property
    def copy(self) -> int:
        """Which of the alike runs, from 0."""

    @property
    def part(self) -> int:
        """Which part of the run, from 0 at its start."""

    @property
    def parts(self) -> int:
        """Of how many."""

    @property
    def at(self) -> float:
        """Where it begins in the bar."""

    @property
    def start(self) -> float:
        """Where along the run it begins."""

    @property
    def length(self) -> float:
        """Its length."""

    def __eq__(self, other: object, /) -> bool: ...
