"""Saves a file again with mupdf, in one of its ways.

save_again.py FILE OUT HOW
"""

import sys

import pymupdf

HOW = {
    "as it is": {},
    "clean": {"garbage": 1},
    "clean, doubles merged": {"garbage": 4},
    "compressed": {"garbage": 3, "deflate": True},
    "decompressed": {"expand": 255},
    "objects in streams": {"garbage": 1, "use_objstms": 1},
    "laid out to be read": {"pretty": True},
}

_, file, out, how = sys.argv
pymupdf.open(file).save(out, **HOW[how])
