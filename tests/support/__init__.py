"""What tests have in common: everything under tests/ that is not a test itself.

places, amounts         the folders of the project; how many cases a test tries
command_line            the type of the fixture `run`
scripts                 scripts, cases and samples as text, and how to read or lay them out
random_scripts          random scripts, and what their tracks must hold, from a writer of its own
voices                  a voice without a model, the bundled ones, and judges of what voices say
tracks                  tracks, tags and captions made by hand, and built tests to check again
browser                 Chromium with axe-core, the screens in it, their modules in Node
damage                  damaged scripts and files, and things that are no files at all
fuzz                    the many damaged inputs of tests/test_fuzz.py
spoiling                tracks spoiled by seeds, for scripts/sabotage.py
processes               commands watched from outside, stopped, killed, out of room
"""
