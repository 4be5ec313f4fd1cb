//! What to buy of each yarn: lengths, metres, balls, mass, price.
//!
//! One amount for each yarn: what the plan takes, with its margin, in whole balls. One who cuts where the plan carries needs
//! two tails more for each cut.
//!
//! The margin is reckoned in lengths too, not in metres alone. Hands that are a tenth looser do not use a tenth more of
//! each length: they get whole knots fewer out of it, and a thread that just fitted a length needs a second. So what is
//! bought is the larger of (a) lengths x (1 + margin) and (b) the lengths that looser hands need, whose knots and steps all
//! take two thirds of the margin more, with up to [`SPARE`] lengths on top, as many as hands looser by another [`UNEVEN`]
//! would need: no two lengths are tied alike. With a margin of 15 % that covers hands a tenth looser than the maker's.

use super::cutting::{Cutting, Measure, cut};
use super::rounding::up_to;
use super::{Gauge, Tally, YarnPlan};
use crate::chart::{Yarn, YarnId};
use crate::project::Project;

/// One millimetre short of a yard is still a yard to buy: exact since 1959.
const MM_PER_YARD: f64 = 914.4;

/// An amount of one yarn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Amount {
    /// Fresh working lengths to cut.
    pub lengths: usize,
    /// Those lengths with the margin, millimetres: what is bought.
    pub yarn_mm: f64,
    /// Up to the next whole metre.
    pub metres: usize,
    /// Up to the next whole yard.
    pub(crate) yards: usize,
    /// Whole balls; `None` when the maker does not say what is on one.
    pub balls: Option<usize>,
    /// Mass of `yarn_mm`, grams; `None` when the band is not known.
    pub(crate) grams: Option<f64>,
    /// Price of the balls, in the project's currency.
    pub price: Option<f64>,
    /// What is left on the last ball once `yarn_mm` is taken, millimetres.
    pub left_of_last_ball_mm: Option<f64>,
    /// Balls that would do without the margin; fewer than `balls` where the last ball is bought for the margin alone.
    pub(crate) balls_without_margin: Option<usize>,
}

/// Everything about one yarn's amount.
#[derive(Clone, Debug, PartialEq)]
pub struct YarnAmount {
    /// Which.
    pub yarn: YarnId,
    /// What to buy.
    pub buy: Amount,
    /// What it would take beyond that, at most, to cut wherever the plan carries: two tails for each carry, millimetres.
    pub cut_instead_mm: f64,
    /// The header rows by themselves: the yarn to buy if they are knotted in another one. All zero for other yarns.
    pub header: Amount,
    /// Threads in the plan.
    pub threads: usize,
    /// Pieces tied in: times a maker starts or joins this yarn.
    pub pieces: usize,
    /// Joins within a thread, where a length is expected to run out.
    pub joins: usize,
    /// Ends to tie off: two a piece.
    pub ends: usize,
    /// Carries in the plan.
    pub(crate) carries: usize,
    /// The longest carry, yarn with slack, millimetres; `None` where nothing is carried.
    pub(crate) longest_carry_mm: Option<f64>,
    /// Whole knots in one working length between two tails.
    pub knots_in_length: usize,
    /// Yarn in the panel with its tails, millimetres.
    pub used_mm: f64,
}

/// The part of the margin that is for looser hands; the rest is for lengths that come out uneven.
const FOR_THE_HAND: f64 = 2.0 / 3.0;
/// How much more than the hand's average a length may take and still be nothing unusual: one and a half standard
/// deviations of tension from length to length, taken as 5 % (our judgement; no published figure was found).
const UNEVEN: f64 = 0.075;
/// Uneven lengths even each other out: no more than so many are added for them (our judgement, tried on the samples with
/// ten thousand hands each).
const SPARE: usize = 2;

/// Lengths of one yarn: those to expect, and those to buy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lengths {
    pub(crate) expected: usize,
    /// With the margin; not a whole number where the plain margin decides.
    pub(crate) bought: f64,
}

impl Lengths {
    /// From what hands looser by a part (0: the hands the measure is of) need.
    pub(crate) fn with_margin(margin: f64, needed: impl Fn(f64) -> usize) -> Lengths {
        let expected = needed(0.0);
        let looser = needed(FOR_THE_HAND * margin);
        let loosest = needed(FOR_THE_HAND * margin + UNEVEN);
        let bought = loosest.clamp(looser, looser + SPARE) as f64;
        Lengths { expected, bought: bought.max(expected as f64 * (1.0 + margin)) }
    }
}

/// What a plan takes, cut with this measure.
pub(super) fn lengths_of(plan: &YarnPlan, measure: Measure, margin: f64) -> Lengths {
    Lengths::with_margin(margin, |part| cut(plan, measure.looser(part)).lengths)
}

impl Amount {
    /// So many lengths of this yarn.
    pub(super) fn of(project: &Project, yarn: &Yarn, lengths: Lengths) -> Amount {
        let length_mm = project.working.length_mm;
        Amount::of_mm(yarn, lengths.expected, lengths.expected as f64 * length_mm, lengths.bought * length_mm)
    }
    /// So much of this yarn; `bare_mm` without margin.
    pub(super) fn of_mm(yarn: &Yarn, lengths: usize, bare_mm: f64, yarn_mm: f64) -> Amount {
        let ball_mm = yarn.ball_m.filter(|m| *m > 0.0).map(|m| m * 1000.0);
        let balls = ball_mm.map(|ball| up_to(yarn_mm / ball, 1.0) as usize);
        Amount {
            lengths,
            yarn_mm,
            metres: up_to(yarn_mm / 1000.0, 1.0) as usize,
            yards: up_to(yarn_mm / MM_PER_YARD, 1.0) as usize,
            balls,
            grams: ball_mm.zip(yarn.ball_g).map(|(ball, g)| yarn_mm / ball * g),
            price: balls.zip(yarn.ball_price).map(|(n, price)| n as f64 * price),
            left_of_last_ball_mm: balls.zip(ball_mm).map(|(n, ball)| (n as f64 * ball - yarn_mm).max(0.0)),
            balls_without_margin: ball_mm.map(|ball| up_to(bare_mm / ball, 1.0) as usize),
        }
    }
}

pub(super) fn amounts(
    project: &Project,
    gauge: &Gauge,
    tally: &Tally,
    plans: &[YarnPlan],
    cuttings: &[Cutting],
) -> Vec<YarnAmount> {
    plans
        .iter()
        .zip(cuttings)
        .zip(gauge.yarns.iter().zip(project.palette.iter()))
        .map(|((plan, carried), (own, (id, yarn)))| {
            let measure = Measure::new(project, own.knot_mm);
            let margin = project.working.yarn_margin;
            let header = tally.of(id).header as i64;
            let header = Lengths::with_margin(margin, |part| match measure.looser(part).knots_in_length() {
                fits if fits > 0 => ((header + fits - 1) / fits) as usize,
                _ => header as usize,
            });
            YarnAmount {
                yarn: id,
                buy: Amount::of(project, yarn, lengths_of(plan, measure, margin)),
                cut_instead_mm: 2.0 * plan.carries() as f64 * project.working.tail_mm,
                header: Amount::of(project, yarn, header),
                threads: plan.thread_count(),
                pieces: carried.pieces,
                joins: carried.new_lengths.len(),
                ends: 2 * carried.pieces,
                carries: plan.carries(),
                longest_carry_mm: plan
                    .steps
                    .iter()
                    .filter(|s| s.is_carry)
                    .map(|s| s.micrometres)
                    .max()
                    .map(|um| um as f64 / 1000.0),
                knots_in_length: usize::try_from(measure.knots_in_length()).unwrap_or(0),
                used_mm: carried.used_um as f64 / 1000.0,
            }
        })
        .collect()
}

/// What to buy of one yarn if the panel has so many header rows.
pub(super) fn yarn_with_header(project: &Project, gauge: &Gauge, yarn: YarnId, header_rows: usize) -> Amount {
    let sheet = super::runs::sheet(project, header_rows);
    let own = gauge.yarns.get(usize::from(yarn.0)).map_or(0.0, |own| own.knot_mm);
    let plan = super::yarn_plan::plan_of(project, gauge, &sheet, yarn);
    let lengths = lengths_of(&plan, Measure::new(project, own), project.working.yarn_margin);
    Amount::of(project, project.palette.get(yarn), lengths)
}
