//! What proof has to say: findings in the maker's words, each with its place.

use crate::chart::{Column, Row};
use crate::diag::{Diagnostic, Report};

/// Findings of one kind on one page that are kept; a page of the wrong chart would have thousands.
const MAX_PER_PAGE: usize = 40;

/// One thing that is not as it should be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Names the fault, in kebab case: `wrong-cell`.
    pub id: &'static str,
    /// Page, counted from 1 as viewers do; `None` when no page is to blame.
    pub page: Option<usize>,
    /// Row of the chart.
    pub row: Option<Row>,
    /// Column of the chart.
    pub column: Option<Column>,
    /// What was found and what was expected; place not repeated.
    pub message: String,
}

impl Finding {
    /// A finding without a place.
    pub(super) fn new(id: &'static str, message: impl Into<String>) -> Finding {
        Finding { id, page: None, row: None, column: None, message: message.into() }
    }
    /// Says on which page.
    pub(super) fn on(mut self, page: usize) -> Finding {
        self.page = Some(page);
        self
    }
    /// Says in which row.
    pub(super) fn row(mut self, row: usize) -> Finding {
        self.row = Some(Row(row));
        self
    }
    /// Says in which column.
    pub(super) fn column(mut self, column: usize) -> Finding {
        self.column = Some(Column(column));
        self
    }
    /// Place and message in one line: "page 4, row 12, column 7: ...".
    pub fn sentence(&self) -> String {
        let page = self.page.map(|p| format!("page {p}"));
        let row = self.row.map(|r| format!("row {}", r.0 + 1));
        let column = self.column.map(|c| format!("column {}", c.0 + 1));
        let place: Vec<String> = [page, row, column].into_iter().flatten().collect();
        if place.is_empty() { self.message.clone() } else { format!("{}: {}", place.join(", "), self.message) }
    }
}

/// What was read and what is wrong with it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ProofReport {
    /// Pages of the file.
    pub pages: usize,
    /// Chart sheets among them.
    pub(crate) sheets: usize,
    /// Cells of the chart that were read and compared, overlaps counted each time.
    pub cells: usize,
    /// Written rows that were found word for word.
    pub written_rows: usize,
    /// Boxes to tick that were found beside rows.
    pub tick_boxes: usize,
    /// Fonts that were looked at.
    pub(crate) fonts: usize,
    /// What is wrong, in page order; empty when the file is what the project says.
    pub findings: Vec<Finding>,
    /// Further findings that were left out because their page had too many of the kind.
    pub(crate) left_out: usize,
}

impl ProofReport {
    /// Whether nothing is wrong.
    pub fn holds(&self) -> bool {
        self.findings.is_empty()
    }

    /// Keeps a finding unless its page has plenty of the kind already.
    pub(super) fn find(&mut self, finding: Finding) {
        let alike = self.findings.iter().filter(|f| f.id == finding.id && f.page == finding.page).count();
        if alike < MAX_PER_PAGE {
            self.findings.push(finding);
        } else {
            self.left_out += 1;
        }
    }

    /// The findings as faults for the screen.
    ///
    /// Pages that all have another size are told once: the file is for another paper than was asked about.
    pub fn diagnostics(&self) -> Report {
        const SIZE: &str = "page-size";
        let mut report = Report::new();
        let mut sizes = self.findings.iter().filter(|finding| finding.id == SIZE);
        let (first, more) = (sizes.next(), sizes.count());
        if let Some(first) = first.filter(|_| more > 0 && more + 1 >= self.pages) {
            let message = format!("{}; every other page differs as well", first.sentence());
            let hint = "if the file was composed on another paper, name the same one with `--paper`; \
                        whatever else differs is told then";
            report.push(Diagnostic::fault(SIZE, message).hint(hint));
            return report;
        }
        for finding in &self.findings {
            report.push(Diagnostic::fault(finding.id, finding.sentence()));
        }
        if self.left_out > 0 {
            report.push(Diagnostic::fault("more-findings", format!("and {} more of the same", self.left_out)));
        }
        report
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_with_plenty_of_a_kind_takes_no_more_of_it_and_they_are_counted() {
        let finding = |id, page| Finding::new(id, "so it is").on(page);
        let mut report = ProofReport::default();
        (0..MAX_PER_PAGE + 3).for_each(|_| report.find(finding("wrong-cell", 1)));
        assert_eq!((report.findings.len(), report.left_out), (MAX_PER_PAGE, 3));
        // Another kind, and the same on another page.
        report.find(finding("no-arrow", 1));
        report.find(finding("wrong-cell", 2));
        assert_eq!((report.findings.len(), report.left_out), (MAX_PER_PAGE + 2, 3));
        let told = report.diagnostics();
        assert_eq!(told.len(), MAX_PER_PAGE + 3);
        assert_eq!(told.iter().last().map(|d| d.message.as_str()), Some("and 3 more of the same"));
    }

    #[test]
    fn a_file_for_another_paper_is_told_once() {
        let of = |pages: usize, sizes: usize| {
            let mut report = ProofReport { pages, ..ProofReport::default() };
            (1..=sizes).for_each(|page| report.find(Finding::new("page-size", "it is too wide").on(page)));
            report.find(Finding::new("wrong-cell", "another").on(1));
            report.diagnostics().iter().map(|d| (d.message.clone(), d.hints.len())).collect::<Vec<_>>()
        };
        let all = of(3, 3);
        assert!(all.len() == 1 && all[0].0.ends_with("; every other page differs as well"), "{all:?}");
        assert_eq!(all[0].1, 1);
        assert_eq!((of(4, 3).len(), of(1, 1).len()), (4, 2));
    }
}
