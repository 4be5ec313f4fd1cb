"""Boxes of a finished file in mupdf: ticks one as a reader's tap does, and reads a file back.

tick.py tick FILE FIELD OUT     ticks the first box of a field and saves
tick.py check BEFORE FILE FIELD says whether just that field is ticked, at all its places, and drawn so
tick.py type FILE FIELD OUT WORDS   types words into a line and saves
tick.py typed BEFORE FILE FIELD WORDS  says whether just that line has these words, and shows something
"""

import sys

import pymupdf

ZOOM = 4


def boxes(document):
    """Page number, widget, for every box of the file."""
    for page in document:
        for widget in page.widgets():
            yield page, widget


def shown(page, widget):
    """What a box looks like, as bytes."""
    return page.get_pixmap(matrix=pymupdf.Matrix(ZOOM, ZOOM), clip=widget.rect, annots=True)


def differing(one, other):
    """Pixels that differ clearly in any channel."""
    count = one.n
    pairs = zip(range(0, len(one.samples), count), range(0, len(other.samples), count))
    changed = 0
    for a, b in pairs:
        if any(abs(one.samples[a + i] - other.samples[b + i]) > 40 for i in range(3)):
            changed += 1
    return changed


def tick(file, field, out):
    document = pymupdf.open(file)
    for page, widget in boxes(document):
        if widget.field_name == field:
            annotation = pymupdf.mupdf.pdf_first_widget(pymupdf.mupdf.pdf_page_from_fz_page(page.this))
            while annotation.m_internal:
                if pymupdf.mupdf.pdf_to_num(pymupdf.mupdf.pdf_annot_obj(annotation)) == widget.xref:
                    pymupdf.mupdf.pdf_toggle_widget(annotation)
                    document.save(out)
                    return
                annotation = pymupdf.mupdf.pdf_next_widget(annotation)
    sys.exit(f"no box of the field {field}")


def check(before, file, field):
    old, new = pymupdf.open(before), pymupdf.open(file)
    places, others, states = 0, 0, set()
    for (old_page, was), (page, widget) in zip(boxes(old), boxes(new), strict=True):
        where = f"{widget.field_name} on page {page.number + 1}"
        if was.field_name != widget.field_name or was.rect != widget.rect:
            sys.exit(f"{where}: another box than before")
        ticked = widget.field_value not in ("Off", "", False, None)
        if was.field_name == field:
            places += 1
            states.add(widget.on_state())
            if not ticked or widget.field_value != widget.on_state():
                sys.exit(f"{where}: not ticked ({widget.field_value})")
            if widget.rect.width < 6.4 / 25.4 * 72 - 0.01:
                sys.exit(f"{where}: only {widget.rect.width} points wide")
            # A tick is strokes: more than specks, less than a filled box.
            picture = shown(page, widget)
            changed = differing(shown(old_page, was), picture) / (picture.width * picture.height)
            if not 0.03 < changed < 0.5:
                sys.exit(f"{where}: {changed:.3f} of the box changed")
        else:
            others += 1
            if ticked:
                sys.exit(f"{where}: ticked too")
            # Looking at all of them would take minutes.
            if others % 16 == 0 and differing(shown(old_page, was), shown(page, widget)):
                sys.exit(f"{where}: looks different")
    if len(states) != 1:
        sys.exit(f"{field} has the states {sorted(states)}")
    print(f"{places} places ticked, {others} other boxes empty")


def type_words(file, field, out, words):
    document = pymupdf.open(file)
    for _, widget in boxes(document):
        if widget.field_name == field:
            widget.field_value = words
            widget.update()
            document.save(out)
            return
    sys.exit(f"no line of the field {field}")


def typed(before, file, field, words):
    old, new = pymupdf.open(before), pymupdf.open(file)
    places = 0
    for (old_page, was), (page, widget) in zip(boxes(old), boxes(new), strict=True):
        if widget.field_type_string != "Text":
            continue
        where = f"{widget.field_name} on page {page.number + 1}"
        if widget.field_name != field:
            if widget.field_value:
                sys.exit(f"{where}: says {widget.field_value}")
            continue
        places += 1
        if widget.field_value != words:
            sys.exit(f"{where}: says {widget.field_value!r}")
        picture = shown(page, widget)
        changed = differing(shown(old_page, was), picture) / (picture.width * picture.height)
        if not 0.005 < changed < 0.5:
            sys.exit(f"{where}: {changed:.3f} of the line changed")
    if places != 1:
        sys.exit(f"{places} places of {field}")
    print("1 line typed")


if sys.argv[1] == "tick":
    tick(*sys.argv[2:5])
elif sys.argv[1] == "type":
    type_words(*sys.argv[2:6])
elif sys.argv[1] == "typed":
    typed(*sys.argv[2:6])
else:
    check(*sys.argv[2:5])
