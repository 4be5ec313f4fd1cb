//! Licensed copies of the mid-size sample beside composing it: a copy may take a twentieth of the time. And where composing
//! spends its time: read and reckoned, said, laid out, written.

use criterion::{Criterion, criterion_group, criterion_main};
use hitchpress::compose::licence_line;
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::pdf::{self, copies::Master};
use hitchpress::press::{Prepared, Settled, Wishes};
use hitchpress::project;
use hitchpress::source::Sources;
use hitchpress::workings;
use std::path::Path;

fn copies(criterion: &mut Criterion) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/low-water-heron");
    let book = FontBook::shipped();
    let read = || {
        let mut sources = Sources::new();
        project::load(&folder, &mut sources, &mut Report::new()).expect("the sample has no faults")
    };
    let said = |project: &project::Project| {
        let settled = Settled::from(&Wishes::default(), project, &mut Sources::new(), &mut Report::new());
        let Settled { manner, variant } = settled.expect("settled");
        Prepared::new(project.clone(), manner).write(&variant)
    };
    let written =
        |booklet: &hitchpress::page::Booklet| pdf::write(booklet, &book, pdf::Options::default()).expect("written");
    let project = read();
    let copy = said(&project);
    let booklet = copy.lay_out(&book).expect("laid out");
    let file = written(&booklet);
    println!("{} pages, {} bytes", booklet.pages.len(), file.len());

    let mut group = criterion.benchmark_group("mid-size booklet");
    group.sample_size(20);
    group.bench_function("composed from its folder", |bench| {
        bench.iter(|| written(&said(&read()).lay_out(&book).expect("laid out")));
    });
    group.bench_function("read", |bench| bench.iter(read));
    group.bench_function("reckoned", |bench| bench.iter(|| workings::work_out(&project)));
    group.bench_function("reckoned and said", |bench| bench.iter(|| said(&project)));
    group.bench_function("laid out", |bench| bench.iter(|| copy.lay_out(&book).expect("laid out")));
    group.bench_function("written", |bench| bench.iter(|| written(&booklet)));
    group
        .bench_function("opened to be copied", |bench| bench.iter(|| Master::open(&file).map_err(drop).expect("ours")));
    let master = Master::open(&file).map_err(drop).expect("ours");
    let mut number = 0;
    group.bench_function("one copy", |bench| {
        bench.iter(|| {
            number += 1;
            let words = format!("Licensed to Ada Fernley, order {number}");
            let line = licence_line::set(&words, master.room(), &book, "en-GB").expect("it fits");
            master.copy(&line, &book, &words).expect("copied")
        });
    });
    group.finish();
}

criterion_group!(benches, copies);
criterion_main!(benches);
