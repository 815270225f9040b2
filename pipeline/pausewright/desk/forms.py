"""Forms of the page `More`: one for each command, or part of one, that has no better place.

A form has the options of its command as fields; `run_work` does with them what the command does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

Kind: TypeAlias = Literal["words", "lines", "tick", "version", "versions", "choice", "file", "kept"]
"""A line of text; many; a box to tick; a version of the test, or several; one of `choices`; a file
of the folder or one that is handed in; the same, but it is kept in the folder of the tests."""


@frozen
class Field:
    """One field of a form."""

    name: str
    label: str
    kind: Kind = "words"
    is_needed: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    endings: tuple[str, ...] = ()
    """Of files that can be chosen; the usual ones of a browser's dialog too."""
    value: str = ""


@frozen
class CommandForm:
    """One form."""

    key: str
    heading: str
    sentence: str
    button: str
    fields: tuple[Field, ...] = ()
    of_test: bool = True
    """Whether it is about one test; else about the whole folder."""
    follows: str = ""
    """The form whose answer offers it; it stands on no page by itself."""
    page: str = ""
    """Address of the page that it stands on, if that is not More."""
    is_short: bool = False
    """Whether it is answered at once, beside long work."""

    @property
    def has_files(self) -> bool:
        """Whether something can be handed in."""
        return any(one.kind in {"file", "kept"} for one in self.fields)


_FORMATS: Final = (
    ("mp3", "MP3, which every player plays"),
    ("wav", "WAV, exact and large"),
    ("flac", "FLAC, exact and smaller"),
)
SEASON: Final = "/season"
"""The page of the forms of a season."""
_CAPTIONS: Final = (".vtt", ".srt")
_PAPERS: Final = (".docx", ".odt", ".txt", ".html")
_SOUNDS: Final = (".mp3", ".wav", ".flac", ".m4a", ".mp4", ".ogg")
_VIDEOS: Final = (
    ("", "none"),
    ("burned-in", "captions in the picture"),
    ("switchable", "captions that can be switched off"),
)
_QUESTIONS: Final = (
    ("unheard", "not heard by anybody, or not all of it"),
    ("unsigned", "not signed"),
    ("length", "all, the longest first"),
    ("voice", "with a certain voice"),
    ("touched-by", "made from a certain file"),
)
_ALL: Final = (
    CommandForm(
        "outline",
        "Everything in its order",
        "Each part, question and silence with its length and where that comes from. Nothing is "
        "voiced for it.",
        "Show it",
        (Field("arrangement", "Version", "version"),),
    ),
    CommandForm(
        "wording",
        "How everything is said",
        "Each sentence as it is written, said and shown; what to look at comes first.",
        "Show it",
        (
            Field("all", "also sentences that are said as they are written", "tick"),
            Field(
                "recognise",
                "have the machine's ear hear each sentence (English; it takes a while)",
                "tick",
            ),
        ),
    ),
    CommandForm(
        "proof",
        "A short proof to listen to",
        "Silences are cut short and second readings left out: it is listened to once and never "
        "used in a room.",
        "Make the proof",
        (
            Field("arrangement", "Versions", "versions"),
            Field("all_readings", "leave no second reading out", "tick"),
        ),
    ),
    CommandForm(
        "compare",
        "Versions with their times of day",
        "All versions side by side, with their sums.",
        "Compare them",
        (Field("start", "When does the track start (09:15)? It may stay empty."),),
    ),
    CommandForm(
        "retime",
        "Captions for another version",
        "Captions that were made for the standard track are written for another version; the file "
        "itself is not changed.",
        "Write the captions",
        (
            Field("captions", "The captions", "file", is_needed=True, endings=_CAPTIONS),
            Field("arrangement", "Version", "version", is_needed=True),
            Field("out", "Name of the new file; it may stay empty."),
        ),
    ),
    CommandForm(
        "tidy",
        "A tidy copy of the words",
        "The same test, laid out in one way. The test itself is not changed: the copy lies beside "
        "it, and you put it in its place yourself.",
        "Do that",
        (
            Field(
                "how",
                "What shall be done?",
                "choice",
                choices=(("check", "only show what would change"), ("write", "write the copy")),
            ),
            Field("out", "Name of the copy; it may stay empty."),
        ),
    ),
    CommandForm(
        "heard",
        "The log of a listening page",
        "What a listening page saved when somebody listened elsewhere.",
        "Take it in",
        (Field("log", "The log", "file", is_needed=True, endings=(".json",)),),
    ),
    CommandForm(
        "forget",
        "What is kept of voiced sound",
        "Sound that was voiced is kept, so that it need not be voiced again. It is listed first.",
        "List it",
    ),
    CommandForm(
        "forget-now",
        "Remove it",
        "",
        "Remove what is listed",
        follows="forget",
    ),
    CommandForm(
        "draft",
        "A test from a recording",
        "Readings are found, silences measured, doubts told. The recording is kept in this folder. "
        "Without its paper the machine's ear writes the words down.",
        "Write a first text",
        (
            Field("recording", "The recording", "kept", is_needed=True, endings=_SOUNDS),
            Field("text", "Its paper, if there is one", "file", endings=_PAPERS),
            Field("out", "What is the test called?", is_needed=True),
            Field("language", "Language of the test", value="en-GB"),
        ),
        of_test=False,
    ),
    CommandForm(
        "build",
        "Make all tests of this folder",
        "What several tests say in one voice is voiced once. What is current is not made again.",
        "Make and check them all",
        (
            Field("format", "Sound files", "choice", choices=_FORMATS),
            Field("mark_scheme", "also mark schemes, confidential", "tick"),
            Field("text_papers", "also papers as plain text", "tick"),
        ),
        of_test=False,
    ),
    CommandForm(
        "lines",
        "How single lines are said",
        "One spoken line for each line that you write here. Nothing of it is kept.",
        "Put them into words",
        (
            Field("lines", "The lines", "lines", is_needed=True),
            Field("language", "Language", is_needed=True, value="en-GB"),
            Field("set", "Ways of reading, one a line, as NAME=VALUE; it may stay empty.", "lines"),
        ),
        of_test=False,
    ),
    CommandForm(
        "voice-offer",
        "Add a voice from the network",
        "This is the one thing for which the desk connects. Size, licence and origin are shown "
        "first: emma-small, or the full name of a model as en_GB-cori-medium.",
        "Show it first",
        (Field("add", "Name of the voice", is_needed=True),),
        of_test=False,
    ),
    CommandForm(
        "voice-add",
        "Fetch it",
        "",
        "I have read that: fetch it",
        of_test=False,
        follows="voice-offer",
    ),
    CommandForm(
        "voice-off",
        "Remove an added voice",
        "What goes is shown first.",
        "Show what would go",
        (Field("remove", "Name of the voice", is_needed=True),),
        of_test=False,
    ),
    CommandForm(
        "voice-remove",
        "Remove it",
        "",
        "Remove this voice",
        of_test=False,
        follows="voice-off",
    ),
    CommandForm(
        "templates",
        "Our templates of papers",
        "They are written into a folder here, to be changed there by somebody who knows Typst.",
        "Write them",
        (Field("copy_templates", "Name of the folder", is_needed=True, value="templates"),),
        of_test=False,
    ),
    CommandForm(
        "schemas",
        "Help for editors",
        "Two files by which an editor completes settings and arrangements.",
        "Write them",
        of_test=False,
    ),
    CommandForm(
        "launcher",
        "A launcher for this desk",
        "A file in this folder that opens this desk by a double click.",
        "Write it",
        of_test=False,
    ),
    CommandForm(
        "season-make",
        "Make them",
        "All scripts are read first, and every problem is told before anything is voiced. It can "
        "be stopped, and goes on where it was.",
        "Make and check them all",
        (
            Field("format", "Sound files", "choice", choices=_FORMATS),
            Field("video", "Videos with captions, for a projector", "choice", choices=_VIDEOS),
            Field("inline", "room screens hold the sound themselves", "tick"),
            Field("splits", "also one file per stretch between stops", "tick"),
            Field("text_papers", "also papers as plain text", "tick"),
            Field("mark_scheme", "also mark schemes, confidential", "tick"),
            Field("go_on", "make the others although some tests have problems", "tick"),
        ),
        of_test=False,
        page=SEASON,
    ),
    CommandForm(
        "season-ask",
        "Ask which versions …",
        "Of what was made: nothing is made for it.",
        "List them",
        (
            Field("question", "Which versions?", "choice", choices=_QUESTIONS),
            Field("voice", "Name of the voice, if it is about one"),
            Field("touched", "File of this folder, if it is about one: sounds/bell.wav"),
        ),
        of_test=False,
        page=SEASON,
        is_short=True,
    ),
)
FORMS: Final[Mapping[str, CommandForm]] = {one.key: one for one in _ALL}
"""By key, in the order of the page."""
