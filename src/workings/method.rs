//! What one way of working comes to, to be weighed against the other: the plan and its cutting, without the rest.

use super::{cutting, gauge, header, runs, yarn_plan};
use crate::project::{Method, Project};

/// A way of working in two figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct MethodFigures {
    /// Yarn in the panel with its tails, all yarns together, micrometres.
    pub(crate) used_um: i64,
    /// Most lengths that hang at the end of a row.
    pub(crate) most_hanging: usize,
}

/// A project worked in this way. Where it is not the project's own, the longest carry is that way's usual one.
pub(crate) fn method_figures(project: &Project, method: Method) -> MethodFigures {
    let mut other;
    let project = if project.working.method == method {
        project
    } else {
        other = project.clone();
        other.working.method = method;
        other.working.longest_carry_mm = method.usual_longest_carry_mm();
        &other
    };
    let gauge = gauge::gauge(project);
    let sheet = runs::sheet(project, header::header(project, &gauge).rows);
    let plans = yarn_plan::plans(project, &gauge, &sheet);
    // A step of so many rows hangs at the end of each of them but the last.
    let mut begin = vec![0usize; sheet.rows.len() + 1];
    let mut end = vec![0usize; sheet.rows.len() + 1];
    for step in plans.iter().flat_map(|plan| &plan.steps) {
        begin[sheet.runs[step.from].row] += 1;
        end[sheet.runs[step.to].row] += 1;
    }
    let (mut hanging, mut most_hanging) = (0, 0);
    for (begin, end) in begin.iter().zip(&end) {
        hanging = hanging + begin - end;
        most_hanging = most_hanging.max(hanging);
    }
    let used_um = cutting::cuttings(project, &gauge, &plans).iter().map(|cutting| cutting.used_um).sum();
    MethodFigures { used_um, most_hanging }
}
