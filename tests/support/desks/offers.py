"""Where the desk offers each argument and option of the command line, or why it does not.

A pair is the page, with the test's id as `{id}`, and the name of the field there; a sentence is the
reason why there is none.
"""

from __future__ import annotations

from typing import Final, TypeAlias

Offer: TypeAlias = tuple[str, str] | str

TEST: Final = "/test/{id}"
FOR_PROGRAMS: Final = "data for other programs"
NO_TERMINAL: Final = "there is no terminal to be quiet in"
THIS_TEST: Final = "every page of a test is about its script"
THIS_FOLDER: Final = "everything lies in the desk's own folder"
ASKED: Final = "the desk asks by showing first and a button then"
AS_PAGE: Final = "the desk shows the page itself"
OTHER_MACHINES: Final = "the desk stays on this machine: the command speaks with others"
USUAL: Final = {"as_json": FOR_PROGRAMS, "quiet": NO_TERMINAL}
LISTEN, ROOMS, DAY = f"{TEST}/listen", f"{TEST}/rooms", f"{TEST}/day"
CHANGES, MORE, MAKE = f"{TEST}/changes", f"{TEST}/more", f"{TEST}/make"
PAPERS, ALL, SEASON = f"{TEST}/papers", "/more", "/season"

OFFERS: Final[dict[str, dict[str, Offer]]] = {
    "desk": {
        "folder": THIS_FOLDER,
        "browser": "the desk is in the browser",
        "launcher": (ALL, "action:launcher"),
    },
    "new": {"file": ("/", "title")},
    "draft": {
        "recording": (ALL, "recording"),
        "script": (ALL, "out"),
        "text": (ALL, "text"),
        "language": (ALL, "language"),
        **USUAL,
    },
    "schemas": {"folder": (ALL, "action:schemas")},
    "outline": {
        "script": THIS_TEST,
        "watch": "Words shows what is wrong at every pause in writing",
        "arrangement": (MORE, "arrangement"),
        **USUAL,
    },
    "tidy": {
        "script": THIS_TEST,
        "out": (MORE, "out"),
        "only_check": (MORE, "how"),
        **USUAL,
    },
    "hear": {
        "script": THIS_TEST,
        "what": (LISTEN, "what"),
        "arrangement": (LISTEN, "arrangement"),
        "tried": (LISTEN, "tried"),
        "out": "it is played on the page, where a browser can save it",
        **USUAL,
    },
    "heard": {
        "script": THIS_TEST,
        "log": (MORE, "log"),
        "out": THIS_FOLDER,
        "as_json": FOR_PROGRAMS,
    },
    "build": {
        "script": (ALL, "action:build"),
        "out": THIS_FOLDER,
        "formats": (MAKE, "format"),
        "arrangement": (MAKE, "version"),
        "workers": "a matter of the machine; the desk takes the usual number",
        "screen": (MAKE, "inline"),
        "video": (MAKE, "video"),
        "split_at_stops": (MAKE, "splits"),
        "text_papers": (MAKE, "text_papers"),
        "mark_scheme": (MAKE, "mark_scheme"),
        "proof": (MORE, "action:proof"),
        "all_readings": (MORE, "all_readings"),
        **USUAL,
    },
    "season": {
        "folder": THIS_FOLDER,
        "file": (SEASON, "touched"),
        "out": THIS_FOLDER,
        "scheduler": OTHER_MACHINES,
        "workers": "a matter of the machine; the desk takes one a processor",
        "carried": OTHER_MACHINES,
        "unencrypted": OTHER_MACHINES,
        "go_on": (SEASON, "go_on"),
        "question": (SEASON, "question"),
        "formats": (SEASON, "format"),
        "screen": (SEASON, "inline"),
        "video": (SEASON, "video"),
        "split_at_stops": (SEASON, "splits"),
        "text_papers": (SEASON, "text_papers"),
        "mark_scheme": (SEASON, "mark_scheme"),
        "measured": FOR_PROGRAMS,
        **USUAL,
    },
    "papers": {
        "script": THIS_TEST,
        "arrangement": (PAPERS, "arrangement"),
        "start": (PAPERS, "start"),
        "mark_scheme": (PAPERS, "mark_scheme"),
        "text_papers": (PAPERS, "text_papers"),
        "copy_templates": (ALL, "copy_templates"),
        "out": THIS_FOLDER,
        **USUAL,
    },
    "compare": {
        "script": THIS_TEST,
        "out": THIS_FOLDER,
        "html": (f"{TEST}/versions", "action:versions"),
        "start": (MORE, "start"),
        **USUAL,
    },
    "differs": {
        "old": (CHANGES, "old"),
        "new": (CHANGES, "new"),
        "out": THIS_FOLDER,
        "rooms": (CHANGES, "rooms"),
        "by_shape": (CHANGES, "shape"),
        "as_json": FOR_PROGRAMS,
    },
    "retime": {
        "captions": (MORE, "captions"),
        "script": THIS_TEST,
        "arrangement": (MORE, "arrangement"),
        "out": (MORE, "out"),
        **USUAL,
    },
    "needs": {
        "listed": (ROOMS, "list"),
        "script": THIS_TEST,
        "out": THIS_FOLDER,
        "rooms": THIS_FOLDER,
        "start": (ROOMS, "start"),
        **USUAL,
    },
    "pack": {
        "room": (ROOMS, "what"),
        "target": (ROOMS, "as"),
        "password_file": (ROOMS, "password"),
        "as_json": FOR_PROGRAMS,
    },
    "check": {
        "track": ("/check", "file"),
        "script": ("/check", "test"),
        "captions": ("/check", "captions"),
        "record": ("/check", "record"),
        "readers": ("/check", "readers"),
        "html": AS_PAGE,
        "blind": ("/check", "blind"),
        "recognise": ("/check", "recognise"),
        "arrangement": ("/check", "arrangement"),
        "standard": ("/check", "standard"),
        "needs": ("/check", "needs"),
        "room": ("/check", "room"),
        "password_file": ("/check", "password"),
        **USUAL,
    },
    "sign": {
        "script": THIS_TEST,
        "name": (LISTEN, "name"),
        "signed_for": (LISTEN, "for"),
        "arrangement": (LISTEN, "version"),
        "key": (LISTEN, "key"),
        "out": THIS_FOLDER,
        **USUAL,
    },
    "where": {
        "script": THIS_TEST,
        "place": (DAY, "place"),
        "version": (DAY, "version"),
        "start": (DAY, "start"),
        "clock": (DAY, "clock"),
        "waited": (DAY, "waited"),
        "again": (DAY, "again"),
        "sheet": (DAY, "sheet"),
        "out": THIS_FOLDER,
        "as_json": FOR_PROGRAMS,
    },
    "excerpt": {
        "script": THIS_TEST,
        "questions": (DAY, "questions"),
        "target": (DAY, "as"),
        "version": (DAY, "version"),
        "out": THIS_FOLDER,
        "as_json": FOR_PROGRAMS,
    },
    "voices": {
        "script": THIS_FOLDER,
        "hear": ("/voices", "voice"),
        "out": "it is played on the page, where a browser can save it",
        "add": (ALL, "add"),
        "remove": (ALL, "remove"),
        "folder": THIS_FOLDER,
        "yes": ASKED,
        **USUAL,
    },
    "wording": {
        "script": THIS_TEST,
        "language": (ALL, "language"),
        "chosen": (ALL, "set"),
        "everything": (MORE, "all"),
        "recognise": (MORE, "recognise"),
        **USUAL,
    },
    "forget": {
        "script": (MORE, "action:forget"),
        "out": THIS_FOLDER,
        "rooms": THIS_FOLDER,
        "yes": ASKED,
        "as_json": FOR_PROGRAMS,
    },
}
