"""The pages that play a track in the room, or help a person to read it.

The writers are here. The pages' own files (JavaScript modules, templates, styles) lie in `room`,
`reader` and, for both, `shared`; `bundle` joins the modules into the one script of a page.
"""
