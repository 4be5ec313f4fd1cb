//! The cheapest set of steps of one yarn: an assignment problem on a sparse graph, solved exactly.
//!
//! Left stand the runs as those that are left, right the same runs as those that are entered; an edge is an allowed step.
//! Every left run takes one edge or is *cut*; no right run is taken twice. Cutting costs the same everywhere. One run at a
//! time is brought in along a shortest alternating path (Dijkstra on reduced costs), which stops at the nearest free
//! right run or the nearest run that may as well be cut; so a search stays as local as the steps are.
//!
//! Proof sketch. Let U, V be the duals. Kept true between searches: (1) c(u,v) - U(u) - V(v) >= 0 for every edge of a run
//! already in, and cut - U(u) >= 0; (2) both are 0 where the plan uses them; (3) V <= 0, and V = 0 on free right runs.
//! By weak duality sum U + sum V is a lower bound for every plan of the runs that are in, and by (2) and (3) the present
//! plan meets it: it is optimal. A search of length d raises U by d - dist on the left runs it scanned and lowers V by the
//! same on the right runs it settled, all of which are taken: (1) holds as no reduced cost on the rim was below d - dist,
//! (2) holds on the tree and so along the path that is flipped, (3) as V only falls, and only where it is taken. No
//! distance is longer than the root's own way to its cut, so searches end and numbers stay small.
//!
//! Costs are an ordered pair in one `i64`, see [`Scale`]: micrometres above, and below them what decides between equal
//! plans. The lower part of a whole plan never reaches the upper one, so the order is exact.

use core::cmp::Reverse;
use std::collections::BinaryHeap;

/// Micrometres and tie-breaker in one number.
type Price = i64;

/// How micrometres and the tie-breaker share a number.
///
/// The price of a step is its micrometres (its yarn, and h for each row moved), then the square of how many runs of the
/// yarn it goes forward. So of two plans that weigh the same the one whose steps go to the lowest, nearest runs wins. A cut
/// weighs as a step to the furthest run: at equal micrometres a step is preferred, as it leaves two ends fewer to tie off.
#[derive(Clone, Copy, Debug)]
struct Scale {
    /// What one micrometre weighs: more than the tie-breakers of a whole plan.
    micrometre: Price,
    /// A step further forward than this weighs no more: only in charts of several million knots in one yarn is it less
    /// than the runs of four whole rows.
    furthest: Price,
    /// Price of cutting.
    cut: Price,
}

impl Scale {
    fn new(runs: usize, cut_um: i64) -> Scale {
        let (runs, cut_um) = (runs.max(1) as i64, cut_um.max(1));
        // All prices stay under 2^60, so that the few that are added up in a search stay in 64 bits.
        let room = (1i64 << 60) / cut_um / (runs + 2);
        let furthest = (libm::sqrt(room as f64) as i64 - 1).clamp(1, 1 << 14);
        let most = furthest * furthest;
        Scale { micrometre: (runs + 2) * most, furthest, cut: cut_um * (runs + 2) * most + most }
    }
    fn step(self, micrometres: u32, forward: u32) -> Price {
        let forward = Price::from(forward).min(self.furthest);
        Price::from(micrometres) * self.micrometre + forward * forward
    }
}

/// Allowed steps: for each left run the right runs it may go to.
#[derive(Debug, Default)]
pub(super) struct Edges {
    /// Where the edges of left run u begin; one more entry at the end.
    starts: Vec<u32>,
    /// Right run and micrometres.
    to: Vec<(u32, u32)>,
}

impl Edges {
    pub(super) fn with_runs(runs: usize) -> Edges {
        let mut starts = Vec::with_capacity(runs + 1);
        starts.push(0);
        Edges { starts, to: Vec::new() }
    }
    /// Adds a step out of the run that is being listed.
    pub(super) fn push(&mut self, to: usize, micrometres: i64) {
        self.to.push((to as u32, micrometres as u32));
    }
    /// The next run's steps follow.
    pub(super) fn next_run(&mut self) {
        self.starts.push(self.to.len() as u32);
    }
    pub(super) fn of(&self, run: usize) -> &[(u32, u32)] {
        &self.to[self.starts[run] as usize..self.starts[run + 1] as usize]
    }
    pub(super) fn runs(&self) -> usize {
        self.starts.len() - 1
    }
}

/// Stands for no run.
pub(super) const CUT: u32 = u32::MAX;
const NONE: u32 = CUT;

/// For each run the run its yarn goes on to, or [`CUT`]; cutting costs `cut_um`.
pub(super) fn cheapest(edges: &Edges, cut_um: i64) -> Vec<u32> {
    let runs = edges.runs();
    let mut search = Search {
        edges,
        scale: Scale::new(runs, cut_um),
        goes_to: vec![NONE; runs],
        comes_from: vec![NONE; runs],
        left: vec![0; runs],
        right: vec![0; runs],
        seen: vec![ReachedRun { distance: 0, from: NONE, round: 0, settled: false }; runs],
        heap: BinaryHeap::new(),
        scanned: Vec::new(),
        settled: Vec::new(),
    };
    for root in 0..runs {
        search.bring_in(root);
    }
    search.goes_to
}

#[derive(Clone, Copy)]
struct ReachedRun {
    distance: Price,
    /// Left run it was reached from.
    from: u32,
    /// The search that wrote this entry, from 1: saves wiping the table.
    round: u32,
    settled: bool,
}

struct Search<'a> {
    edges: &'a Edges,
    scale: Scale,
    goes_to: Vec<u32>,
    comes_from: Vec<u32>,
    /// U, of the runs brought in.
    left: Vec<Price>,
    /// V, never above zero.
    right: Vec<Price>,
    /// By right run.
    seen: Vec<ReachedRun>,
    heap: BinaryHeap<Reverse<(Price, u32)>>,
    scanned: Vec<(u32, Price)>,
    settled: Vec<(u32, Price)>,
}

/// Where a search ended.
#[derive(Clone, Copy)]
enum End {
    /// This left run is cut from now on.
    Cut(u32),
    /// This right run was free.
    Free(u32),
}

impl Search<'_> {
    fn bring_in(&mut self, root: usize) {
        let round = root as u32 + 1;
        let cheapest = self
            .edges
            .of(root)
            .iter()
            .map(|&(to, um)| self.scale.step(um, to - root as u32) - self.right[to as usize])
            .min();
        self.left[root] = cheapest.map_or(self.scale.cut, |p| p.min(self.scale.cut));
        self.heap.clear();
        self.scanned.clear();
        self.settled.clear();
        let mut best = self.scale.cut - self.left[root];
        let mut end = End::Cut(root as u32);
        let mut here = (root as u32, 0);
        loop {
            let (run, distance) = here;
            self.scanned.push(here);
            let base = distance - self.left[run as usize];
            if base + self.scale.cut < best {
                best = base + self.scale.cut;
                end = End::Cut(run);
            }
            for &(to, um) in self.edges.of(run as usize) {
                let reached = base + self.scale.step(um, to - run) - self.right[to as usize];
                if reached >= best {
                    continue;
                }
                let seen = &mut self.seen[to as usize];
                if seen.round == round && (seen.settled || seen.distance <= reached) {
                    continue;
                }
                *seen = ReachedRun { distance: reached, from: run, round, settled: false };
                if self.comes_from[to as usize] == NONE {
                    best = reached;
                    end = End::Free(to);
                } else {
                    self.heap.push(Reverse((reached, to)));
                }
            }
            let mut next = None;
            while let Some(Reverse((distance, to))) = self.heap.pop() {
                if distance >= best {
                    break;
                }
                let seen = &mut self.seen[to as usize];
                if !seen.settled && seen.distance == distance {
                    seen.settled = true;
                    next = Some((to, distance));
                    break;
                }
            }
            match next {
                Some((to, distance)) => {
                    self.settled.push((to, distance));
                    here = (self.comes_from[to as usize], distance);
                }
                None => break,
            }
        }
        for &(run, distance) in &self.scanned {
            self.left[run as usize] += best - distance;
        }
        for &(to, distance) in &self.settled {
            self.right[to as usize] -= best - distance;
        }
        self.flip(root as u32, end);
    }

    /// Exchanges taken and untaken edges along the path from `root` to where the search ended.
    fn flip(&mut self, root: u32, end: End) {
        let mut to = match end {
            End::Free(to) => to,
            End::Cut(run) => {
                let before = core::mem::replace(&mut self.goes_to[run as usize], NONE);
                if run == root {
                    return;
                }
                before
            }
        };
        loop {
            let from = self.seen[to as usize].from;
            self.comes_from[to as usize] = from;
            let before = core::mem::replace(&mut self.goes_to[from as usize], to);
            if from == root {
                return;
            }
            to = before;
        }
    }
}
