//! The chart edition of large charts on A4: what the sheets cost, beside deflating the same bytes once. To be read as a
//! pair: composing may take twice the time of deflating, and the time per knot may grow by a quarter from 200 x 300 to
//! 400 x 600.
//!
//! Saying and reckoning is measured by itself: every edition needs it, with a chart or without.

#[path = "../suite/panel.rs"]
#[expect(dead_code, reason = "the suite's panels have more makers than are measured here")]
mod panel;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use flate2::{Compression, write::ZlibEncoder};
use hitchpress::catalogue::{EditionName, PaperName};
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::pdf;
use hitchpress::press::{Draft, Prepared, Settled, Wishes};
use hitchpress::source::Sources;
use std::io::Write;

fn copy(chart: hitchpress::chart::Chart) -> Draft {
    let mut project = panel::panel(chart);
    for (at, yarn) in project.palette.0.iter_mut().enumerate() {
        yarn.colour = hitchpress::chart::Colour::new(40 + 15 * at as u8, 220 - 16 * at as u8, (at * 53 % 200) as u8);
    }
    let (edition, paper) = (Some(EditionName::Chart), Some(PaperName::A4));
    let wishes = Wishes { edition, paper, ..Wishes::default() };
    let settled = Settled::from(&wishes, &project, &mut Sources::new(), &mut Report::new());
    let Settled { manner, variant } = settled.expect("the panel has no faults");
    Prepared::new(project, manner).write(&variant)
}

fn pdf_of(copy: &Draft, book: &FontBook, options: pdf::Options) -> Vec<u8> {
    let booklet = copy.lay_out(book).expect("every character has a face");
    pdf::write(&booklet, book, options).expect("the file is written")
}

/// All streams of a file as they were before they were packed.
fn unpacked(file: &[u8]) -> Vec<Vec<u8>> {
    let document = lopdf::Document::load_mem(file).expect("a file of ours");
    let streams = document.objects.values().filter_map(|object| object.as_stream().ok());
    streams.filter_map(|stream| stream.decompressed_content().ok()).collect()
}

fn deflate(streams: &[Vec<u8>]) -> usize {
    let pack = |bytes: &Vec<u8>| {
        let mut encoder = ZlibEncoder::new(Vec::with_capacity(bytes.len() / 8), Compression::new(6));
        encoder.write_all(bytes).expect("memory takes it");
        encoder.finish().expect("memory takes it").len()
    };
    streams.iter().map(pack).sum()
}

/// The same with flate2's usual back end, which takes nearly three times as long.
fn deflate_as_usual(streams: &[Vec<u8>]) -> usize {
    streams.iter().map(|bytes| miniz_oxide::deflate::compress_to_vec_zlib(bytes, 6).len()).sum()
}

fn sheets(criterion: &mut Criterion) {
    let book = FontBook::shipped();
    for (name, chart) in [("picture", charts::picture as fn(usize, usize, u8) -> _), ("noise", charts::noise)] {
        let mut group = criterion.benchmark_group(format!("chart edition, {name}"));
        group.sample_size(10);
        for (columns, rows) in [(200, 300), (400, 600)] {
            let size = format!("{columns} x {rows}");
            let copy = copy(chart(columns, rows, 12));
            let file = pdf_of(&copy, &book, pdf::Options::default());
            let streams = unpacked(&file);
            let bytes: usize = streams.iter().map(Vec::len).sum();
            println!("{name}, {size}: file of {} bytes, streams of {bytes} bytes", file.len());
            group.throughput(Throughput::Elements((columns * rows) as u64));
            group.bench_function(BenchmarkId::new("composed", &size), |bench| {
                bench.iter(|| pdf_of(&copy, &book, pdf::Options::default()));
            });
            let bare = pdf::Options { tagged: false, ..pdf::Options::default() };
            println!("{name}, {size}: untagged, a file of {} bytes", pdf_of(&copy, &book, bare).len());
            group.bench_function(BenchmarkId::new("composed untagged", &size), |bench| {
                bench.iter(|| pdf_of(&copy, &book, bare));
            });
            group.bench_function(BenchmarkId::new("the same bytes deflated", &size), |bench| {
                bench.iter(|| deflate(&streams));
            });
            group.bench_function(
                BenchmarkId::new("the same bytes deflated by flate2's usual back end", &size),
                |bench| {
                    bench.iter(|| deflate_as_usual(&streams));
                },
            );
        }
        group.finish();
    }
}

criterion_group!(benches, sheets);
criterion_main!(benches);
