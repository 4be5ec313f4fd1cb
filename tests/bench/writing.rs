//! What tagging costs: the chart edition of 400 x 600 knots in 12 yarns, laid out once and written with and without its
//! structure. Says the two sizes, then measures the two times.

#[path = "../suite/panel.rs"]
#[expect(dead_code, reason = "the suite's panels have more makers than are measured here")]
mod panel;

use criterion::{Criterion, criterion_group, criterion_main};
use hitchpress::catalogue::EditionName;
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::pdf::{self, Options};
use hitchpress::press::{Prepared, Settled, Wishes};
use hitchpress::source::Sources;

fn tagging(criterion: &mut Criterion) {
    let project = panel::panel(charts::picture(400, 600, 12));
    let wishes = Wishes { edition: Some(EditionName::Chart), ..Wishes::default() };
    let settled = Settled::from(&wishes, &project, &mut Sources::new(), &mut Report::new());
    let Settled { manner, variant } = settled.expect("the panel has no faults");
    let draft = Prepared::new(project, manner).write(&variant);
    let book = FontBook::shipped();
    let booklet = draft.lay_out(&book).expect("laid out");
    let written = |tagged| pdf::write(&booklet, &book, Options { tagged, ..Options::default() }).expect("written");
    let (with, without) = (written(true).len(), written(false).len());
    let more = (with as f64 / without as f64 - 1.0) * 100.0;
    println!("{} pages: {with} bytes with tags, {without} without, {more:.1} % more", booklet.pages.len());
    let mut group = criterion.benchmark_group("writing a chart edition of 400 x 600");
    group.sample_size(10);
    for (name, tagged) in [("without tags", false), ("with tags", true)] {
        group.bench_function(name, |bench| bench.iter(|| written(tagged)));
    }
    group.finish();
}

criterion_group!(benches, tagging);
criterion_main!(benches);
