"""The list of contents of a version: its units, each with what it is to the ear, eye and key."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.differs.marks import Sounding, in_words, mark_of, traits_of, without
from pausewright.papers.answer_sheet import look_of, sheet_data, sheet_mark, templates_for
from pausewright.papers.mark_scheme import is_for_markers, mark_scheme_data, question_rows
from pausewright.papers.paper_content import PaperContent
from pausewright.plan.clock import exact_seconds
from pausewright.plan.timeline import Wait
from pausewright.problems import Problems
from pausewright.records.shapes import CONTENTS_FORMAT, Contents, ContentsUnit
from pausewright.script.edition import plain_data
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Again,
    Dictation,
    Note,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
    SubQuestion,
)
from pausewright.script.silences import CANDIDATES
from pausewright.script.walk import proses

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from typing import Literal, TypeAlias

    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version
    from pausewright.papers.paper_content import Data
    from pausewright.plan.timeline import Step, Timeline
    from pausewright.script.declared import Settings
    from pausewright.script.model import Block

    Aspect: TypeAlias = Literal["sound", "words", "paper", "key", "staff"]

_SAID: Final[tuple[Aspect, ...]] = ("sound", "words", "staff", "paper")
"""What outputs are made from, beside the key."""
_KINDS: Final = {
    Prose: "instruction",
    Question: "question",
    Passage: "passage",
    Dictation: "dictation",
    Stop: "stop",
    PageTurn: "page-turn",
    Again: "again",
}
_NUMBERS: Final = frozenset({"key", "level", "label"})
"""Of data for papers: what tells where it stands and which number it has."""
_OWN_NUMBER: Final = frozenset({"number", "label", "part"})
"""Fields of a question that change where others come and go."""
SHOWN: Final = ("use", "caption_profile", "countdown", "countdown_wording", "show_time")
"""Settings that change what is shown, and no sound."""
FOR_STAFF: Final = ("test_time_s", "extra_time", "extra_time_reason")
"""Settings that staff go by."""


def contents_of(
    project: Project, version: Version, edition: str, timeline: Timeline | None = None
) -> Contents:
    """Return the contents of a version; with places on the track if its timeline is given.

    Raises
    ------
    ScriptError
        If something on its papers cannot be printed.
    """
    walk = _Walk(project, version, timeline)
    units = tuple(walk.units())
    return Contents(
        contents=CONTENTS_FORMAT,
        edition=edition,
        version_label=version.label,
        arrangement=version.arrangement.name,
        rate_hz=timeline.rate_hz if timeline else 0,
        n_samples=timeline.n_samples if timeline else 0,
        has_room=version.script.settings.given is not None,
        units=units,
        outputs=walk.outputs(units),
    )


@dataclass
class _Walk:
    """Walks a version once, unit by unit."""

    project: Project
    version: Version
    timeline: Timeline | None
    steps: dict[int, list[Step]] = field(default_factory=lambda: defaultdict(list))
    spans: dict[int, list[tuple[int, int]]] = field(default_factory=lambda: defaultdict(list))
    names: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        for step in self.version.steps:
            self.steps[step.block].append(step)
        for placed in self.timeline.placed if self.timeline else ():
            if placed.start_sample == placed.end_sample:
                continue
            own = self.spans[placed.step.block]
            if own and own[-1][1] == placed.start_sample:
                own[-1] = own[-1][0], placed.end_sample
            else:
                own.append((placed.start_sample, placed.end_sample))
        script = self.version.script
        self.sounding = Sounding(self.project, script.settings)
        look = look_of(self.version.arrangement)
        sheet = sheet_data(script, label=self.version.label, edition="", look=look)
        self.pictures = sheet.pictures
        sections = sheet.data["sections"]
        printed: list[Data] = (
            [e for part in sections for e in part] if isinstance(sections, list) else []
        )
        self.printed_questions = iter([e for e in printed if e["kind"] == "question"])
        self.printed_sheets = iter([e for e in printed if e["kind"] == "sheet"])
        self.printed_titles = Counter(str(e["title"]) for e in printed if e["kind"] == "title")
        self.sheet_mark = sheet_mark(script, label=self.version.label, edition="", look=look)

    # ---- units

    def units(self) -> Iterator[ContentsUnit]:
        """Walk all units in order: settings, then headings and blocks as they stand."""
        script = self.version.script
        yield from self._settings(script.settings)
        yield self._frame(script.settings)
        block = -1
        for part in script.parts:
            yield from self._heading("part", part.title, part.place.line)
            for group in part.groups:
                yield from self._heading("group", group.title, group.place.line)
                for one in group.blocks:
                    block += 1
                    yield self._block(one, block)
            if part.answers:
                block += 1
                yield self._sounding_unit("answers", "answers read aloud", part.place.line, block)

    def _settings(self, settings: Settings) -> Iterator[ContentsUnit]:
        places = settings.places
        title = mark_of(settings.title)
        yield self._unit(
            "title",
            "the title",
            places["title"].line if "title" in places else 0,
            settings.title,
            {"words": title, "paper": title, "key": title, "staff": title},
        )
        language = mark_of(settings.language)
        yield self._unit(
            "language",
            "the language",
            places["language"].line if "language" in places else 0,
            settings.language,
            {"words": language, "paper": language, "key": language},
        )
        head = plain_data(settings.sheet_head)
        line = places["sheet-head"].line if "sheet-head" in places else 0
        yield self._unit(
            "sheet-head", "the head of the sheet", line, head, {"paper": mark_of(head)}
        )
        for name, names, aspect in (
            ("what is shown beside the sound", SHOWN, "words"),
            ("times and permissions for staff", FOR_STAFF, "staff"),
        ):
            held = [plain_data(getattr(settings, one)) for one in names]
            own: dict[Aspect, str] = (
                {"words": mark_of(held)} if aspect == "words" else {"staff": mark_of(held)}
            )
            yield self._unit("settings", name, 0, held, own)
        folder = templates_for(self.version.script).digest
        yield self._unit("templates", "templates of papers", 0, folder, {"paper": mark_of(folder)})

    def _frame(self, settings: Settings) -> ContentsUnit:
        """Return what stands at the start, at the end and between blocks: silence alone."""
        pause = str(settings.paragraph_pause_s)
        name = "start, end and the pauses between"
        return self._unit("frame", name, 0, pause, {"sound": mark_of(pause)}, index=-1)

    def _heading(self, kind: str, title: str, line: int) -> Iterator[ContentsUnit]:
        if not title:
            return
        aspects: dict[Aspect, str] = {"words": mark_of(title)}
        if self.printed_titles[title]:
            aspects["paper"] = mark_of(title)
        yield self._unit(kind, f"{kind} {self._count(kind)}", line, title, aspects, own_words=title)

    def _block(self, block: Block, index: int) -> ContentsUnit:
        if isinstance(block, Note):
            return self._note(block)
        if isinstance(block, Question):
            return self._question(block, index)
        kind = _KINDS[type(block)]
        if isinstance(block, Stop) and block.is_slate:
            return self._sounding_unit("slate", "the slate", block.place.line, index, block)
        name = f"{kind.replace('-', ' ')} {self._count(kind)}"
        return self._sounding_unit(kind, name, block.place.line, index, block)

    def _sounding_unit(
        self, kind: str, name: str, line: int, index: int, block: Block | None = None
    ) -> ContentsUnit:
        steps = self.steps[index]
        aspects = self._heard(steps)
        content = plain_data(block) if block is not None else dict(aspects)
        if isinstance(block, Stop):
            aspects["staff"] = mark_of(block.rest)
        return self._unit(kind, name, line, content, aspects, index=index, own_words=_text(block))

    def _note(self, note: Note) -> ContentsUnit:
        content = plain_data(note)
        aspects: dict[Aspect, str] = {}
        kind = note.kind
        if kind == "sheet":
            shown = without(next(self.printed_sheets, None), _NUMBERS, self.pictures)
            aspects["paper"] = mark_of(shown)
        elif kind == "key" or is_for_markers(note):
            aspects["key"] = mark_of(content)
        if kind == "staff-note" and (not note.to or set(note.to) - {"marker"}):
            aspects["staff"] = mark_of(content)
        name = f"{kind.replace('-', ' ')} {self._count(kind)}"
        return self._unit(kind, name, note.place.line, content, aspects, own_words=note.text)

    def _question(self, question: Question, index: int) -> ContentsUnit:
        steps = self.steps[index]
        rows = question_rows(question, PaperContent(Problems()))
        notes = [
            plain_data(note)
            for note in (*question.notes, *(n for sub in _subs(question) for n in sub.notes))
            if not note.to or set(note.to) - {"marker"}
        ]
        shown = next(self.printed_questions, None)
        aspects = self._heard(steps, is_question=True)
        aspects["paper"] = mark_of(without(shown, _NUMBERS, self.pictures))
        aspects["key"] = mark_of(without(rows, _NUMBERS, self.pictures))
        if notes:
            aspects["staff"] = mark_of(notes)
        kind = "practice-question" if question.practice else "question"
        name = f"{kind.replace('-', ' ')} {question.number}"
        content = without(plain_data(question), _OWN_NUMBER, {})
        return self._unit(
            kind,
            name,
            question.place.line,
            content,
            aspects,
            index=index,
            own_words=_text(question),
        )

    def _heard(self, steps: Sequence[Step], *, is_question: bool = False) -> dict[Aspect, str]:
        sound = self.sounding.of_steps(steps)
        if not sound:
            return {}
        words = in_words(steps, is_question=is_question)
        return {"sound": mark_of(sound), "words": mark_of(words)}

    def _unit(
        self,
        kind: str,
        name: str,
        line: int,
        content: object,
        aspects: dict[Aspect, str],
        *,
        index: int | None = None,
        own_words: str = "",
    ) -> ContentsUnit:
        steps = [] if index is None else self.steps[index]
        waited = (s.wait_s for s in steps if isinstance(s, Wait) and s.kind in CANDIDATES)
        return ContentsUnit(
            kind=kind,
            name=name,
            line=line,
            same=mark_of(content),
            aspects=aspects,
            own_words=mark_of(own_words) if own_words else None,
            traits=traits_of(own_words),
            spans=() if index is None else tuple(self.spans[index]),
            candidates_s=exact_seconds(sum(waited, Fraction(0))),
        )

    def _count(self, kind: str) -> int:
        self.names[kind] += 1
        return self.names[kind]

    # ---- outputs

    def outputs(self, units: Sequence[ContentsUnit]) -> dict[str, str]:
        """Return what decides each kind of output, as a hash."""
        script = self.version.script
        heard, read, told, printed = (
            [one for unit in units if (one := unit.aspects.get(aspect))] for aspect in _SAID
        )
        marks = mark_scheme_data(script, PaperContent(Problems()))
        shown = without(marks, frozenset({"key"}), self.pictures)
        numbers = [unit.name for unit in units if unit.aspects.keys() - {"paper", "key"}]
        shown_names = [unit.name for unit in units if "words" in unit.aspects]
        return {
            "track": mark_of(heard),
            "shown-with-track": mark_of([heard, read, shown_names]),
            "answer-sheet": mark_of(self.sheet_mark),
            "mark-scheme": mark_of([shown, script.settings.title, self._templates()]),
            "staff-papers": mark_of([heard, read, told, numbers, self._templates()]),
            # these show what the answer sheet prints for a question
            "reader-papers": mark_of([heard, read, told, printed, numbers, self._templates()]),
        }

    def _templates(self) -> str:
        return templates_for(self.version.script).digest


def _subs(question: Question) -> list[SubQuestion]:
    return [one for one in question.content if isinstance(one, SubQuestion)]


def _text(block: Block | None) -> str:
    """Return the words that an author wrote in a block."""
    if block is None:
        return ""
    return "\n".join(plain(prose.inlines) for prose in proses(block))
