"""Two checkers of accessibility, pdfua and outloud, over a list of files in few processes.

Prints one line for each finding: file, checker, rule, how grave, what. Ends with 1 where there is an error, where a file
cannot be read, or where a rule crashed or was skipped: a rule that did not run has not passed.
"""

import multiprocessing
import sys

import outloud
import pdfua
import pymupdf

# Rules of the second that need another file, or that it lists but does not have yet.
NOT_RUN = {"skipped", "not-implemented", "not-applicable"}


def lines(page):
    """The words of a page's lines, whatever stands side by side in one line put together."""
    by_foot = {}
    for left, _, _, foot, word, *_ in page.get_text("words"):
        by_foot.setdefault(round(foot), []).append((left, word))
    return {" ".join(word for _, word in sorted(words)) for words in by_foot.values()}


def drawn_again(path, evidence):
    """Whether words stand in the same line on an earlier page too: the head of a table that goes on. It is said once, and
    is for the eye where it is drawn again, as a running head is."""
    with pymupdf.open(path) as document:
        return bool(evidence) and sum(evidence in lines(page) for page in document) > 1


def check(path):
    found = []
    report = pdfua.validate(path)
    for outcome in report.outcomes:
        if outcome.skipped_reason:
            found.append(("pdfua", outcome.rule_id, "crashed", outcome.skipped_reason))
    for finding in report.findings:
        found.append(("pdfua", finding.rule_id, finding.severity.name.lower(), finding.message))
    result = outloud.check(path)
    if result.error:
        found.append(("outloud", "-", "crashed", result.error))
    ran = 0
    for run in result.runs:
        ran += run.status == "ran"
        if run.status != "ran" and run.status not in NOT_RUN:
            found.append(("outloud", run.rule, "crashed", run.reason or run.status))
    if ran < 30:
        found.append(("outloud", "-", "crashed", f"only {ran} rules ran"))
    for finding in result.sorted_findings():
        where = f"page {finding.page}: {finding.message} | {finding.evidence or ''}"
        kept = finding.rule == "TAG-002" and drawn_again(path, finding.evidence)
        found.append(("outloud", finding.rule, "kept" if kept else finding.severity, where))
    return path, found


def main():
    grave = False
    with multiprocessing.Pool(2) as pool:
        for path, found in pool.imap(check, sys.argv[1:]):
            for finding in found:
                print(path.rsplit("/", 1)[-1], *finding, sep="\t")
                grave |= finding[2] in ("error", "crashed")
            print(path.rsplit("/", 1)[-1], "checked", sep="\t")
    sys.exit(1 if grave else 0)


if __name__ == "__main__":
    main()
