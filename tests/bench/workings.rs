//! All amounts of large charts: 200 x 300 and 400 x 600 cells, 12 yarns, a picture and noise. To be read as time per knot,
//! which may grow by a quarter from the one size to the other.

#[path = "../suite/panel.rs"]
#[expect(dead_code, reason = "the suite's panels have more makers than are measured here")]
mod panel;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use hitchpress::workings::work_out;

fn amounts(criterion: &mut Criterion) {
    for (name, chart) in [("picture", charts::picture as fn(usize, usize, u8) -> _), ("noise", charts::noise)] {
        let mut group = criterion.benchmark_group(format!("amounts, {name}"));
        group.sample_size(10);
        for (columns, rows) in [(200, 300), (400, 600)] {
            let mut project = panel::panel(chart(columns, rows, 12));
            project.working.header_rows = Some(8);
            group.throughput(Throughput::Elements((columns * rows) as u64));
            group.bench_with_input(
                BenchmarkId::from_parameter(format!("{columns} x {rows}")),
                &project,
                |bench, project| {
                    bench.iter(|| work_out(project));
                },
            );
        }
        group.finish();
    }
}

criterion_group!(benches, amounts);
criterion_main!(benches);
