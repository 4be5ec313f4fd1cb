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
//! Costs are an ordered pair in one `i128`: micrometres above, and below them what decides between equal plans. The pair
//! is exact: the lower part of a whole plan cannot reach the upper one (2^60 from 2^64, see [`price`]).

use core::cmp::Reverse;
use std::collections::BinaryHeap;

/// Micrometres and tie-breaker in one number.
pub(super) type Price = i128;

/// Price of a step: micrometres, then the square of how many runs of the yarn it skips over and one. So of two plans
/// that take the same yarn the one whose steps go to the lowest, nearest runs wins.
pub(super) fn price(micrometres: i64, forward: usize) -> Price {
    // 2,000 columns and the widest window keep `forward` under 2^16, 2^22 runs keep the sum of squares under 2^54.
    let forward = forward.min(1 << 18) as i128;
    (i128::from(micrometres) << 64) + forward * forward
}

/// Price of cutting: at equal micrometres a step is preferred, as it leaves two ends fewer to tie off.
pub(super) fn price_of_cut(micrometres: i64) -> Price {
    (i128::from(micrometres) << 64) + (1 << 58)
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

/// For each run the run its yarn goes on to, or [`CUT`].
pub(super) fn cheapest(edges: &Edges, cut: Price) -> Vec<u32> {
    let runs = edges.runs();
    let mut search = Search {
        edges,
        cut,
        goes_to: vec![NONE; runs],
        comes_from: vec![NONE; runs],
        left: vec![0; runs],
        right: vec![0; runs],
        seen: vec![Seen { distance: 0, from: NONE, round: 0, settled: false }; runs],
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
struct Seen {
    distance: Price,
    /// Left run it was reached from.
    from: u32,
    /// The search that wrote this entry, from 1: saves wiping the table.
    round: u32,
    settled: bool,
}

struct Search<'a> {
    edges: &'a Edges,
    cut: Price,
    goes_to: Vec<u32>,
    comes_from: Vec<u32>,
    /// U, of the runs brought in.
    left: Vec<Price>,
    /// V, never above zero.
    right: Vec<Price>,
    /// By right run.
    seen: Vec<Seen>,
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
            .map(|&(to, um)| price(i64::from(um), to as usize - root) - self.right[to as usize])
            .min();
        self.left[root] = cheapest.map_or(self.cut, |p| p.min(self.cut));
        self.heap.clear();
        self.scanned.clear();
        self.settled.clear();
        let mut best = self.cut - self.left[root];
        let mut end = End::Cut(root as u32);
        let mut here = (root as u32, 0);
        loop {
            let (run, distance) = here;
            self.scanned.push(here);
            let base = distance - self.left[run as usize];
            if base + self.cut < best {
                best = base + self.cut;
                end = End::Cut(run);
            }
            for &(to, um) in self.edges.of(run as usize) {
                let reached = base + price(i64::from(um), (to - run) as usize) - self.right[to as usize];
                if reached >= best {
                    continue;
                }
                let seen = &mut self.seen[to as usize];
                if seen.round == round && (seen.settled || seen.distance <= reached) {
                    continue;
                }
                *seen = Seen { distance: reached, from: run, round, settled: false };
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
