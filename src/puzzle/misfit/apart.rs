//! Seams that are too much alike are drawn anew.

use super::super::dress::Dresser;
use super::Wish;
use super::form::Form;
use super::index::{COARSE, FINE, Index, Net, Pair, Review};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// What is tried for, in what is wanted, and in how many rounds at most: what cannot be had whole is had in part.
const STAGES: [(f64, usize); 3] = [(1.0, 36), (0.8, 12), (0.65, 12)];
/// Rounds without progress after which it is given up.
const IDLE: usize = 20;
/// How often seams are drawn anew at most: so often each, and so often in all besides.
const REDRAWN_EACH: usize = 4;
const REDRAWN_BESIDES: usize = 500;
/// Of one seam at most so many others are looked for that are alike to it: beyond that the number says nothing more.
const MOST_LIKES: usize = 16;

/// Draws seams anew until none are alike, or no more can be done. Tells in how many rounds, and which two seams are
/// most alike then.
pub(super) fn keep_apart(dresser: &mut Dresser, wish: Wish) -> (usize, Option<Pair>) {
    let edges: Vec<usize> = dresser.seams();
    let form = |&edge: &usize| dresser.drawn(edge).map(|(curve, lock)| Form::of(curve, lock.side));
    let index = Index::of(edges.iter().filter_map(form).collect(), wish.faces_alike);
    let mut work = Work { dresser, edges: &edges, index, goal: 0.0, rounds: 0 };
    for (share, rounds) in STAGES.into_iter().filter(|_| wish.goal > 0.0) {
        work.goal = share * wish.goal;
        if let Some(review) = work.stage(rounds) {
            return (work.rounds, review.least);
        }
    }
    (work.rounds, work.index.review(0.0).least)
}

/// Seams that are being drawn anew.
struct Work<'a, 'g> {
    dresser: &'a mut Dresser<'g>,
    /// The edge of every seam of the index.
    edges: &'a [usize],
    index: Index,
    goal: f64,
    rounds: usize,
}

/// When a stage is given up.
struct Limits {
    /// At this number of rounds.
    rounds: usize,
    /// When so many more seams have been drawn anew.
    left: usize,
}

impl Work<'_, '_> {
    /// Draws seams anew until none are alike by the goal, and tells what the last comparison of all showed; `None` when it
    /// is given up.
    fn stage(&mut self, rounds: usize) -> Option<Review> {
        let left = REDRAWN_BESIDES + REDRAWN_EACH * self.edges.len();
        let mut limits = Limits { rounds: self.rounds + rounds, left };
        let all: Vec<usize> = (0..self.edges.len()).collect();
        let mut is_going = self.redraw_all(all, COARSE, &mut limits);
        // What slips through the coarse net is found by the fine one, which takes longer and is cast once if all is well.
        while is_going {
            let review = self.index.review(self.goal);
            let before = self.rounds;
            is_going = self.redraw_all(review.alike.clone(), FINE, &mut limits);
            // Nothing to do, or so near to the goal that it depends on which seam is laid onto which.
            if self.rounds == before {
                return is_going.then_some(review);
            }
        }
        None
    }

    /// Draws seams anew until the net finds no suspect that is alike to any other; false when it is given up.
    ///
    /// In each round as few seams as will do are taken out of all that are alike; then each is drawn anew until it is unlike
    /// all that are in place, or its draws are used up and it stays as it was. The next round takes up what is left.
    fn redraw_all(&mut self, mut suspects: Vec<usize>, net: Net, limits: &mut Limits) -> bool {
        let (mut fewest, mut idle) = (usize::MAX, 0);
        loop {
            let cover = self.cover(&suspects, net);
            if cover.is_empty() {
                return true;
            }
            idle = if cover.len() < fewest { 0 } else { idle + 1 };
            fewest = fewest.min(cover.len());
            if idle > IDLE || self.rounds == limits.rounds || cover.len() > limits.left {
                return false;
            }
            self.rounds += 1;
            limits.left -= cover.len();
            for &seam in &cover {
                self.index.take_out(seam);
            }
            suspects = cover.into_iter().filter(|&seam| !self.redraw(seam, net)).collect();
            for &seam in &suspects {
                self.index.put_back(seam);
            }
        }
    }

    /// Draws one seam anew, so that it is unlike all others in place; false when it stays as it was.
    fn redraw(&mut self, seam: usize, net: Net) -> bool {
        let (index, goal) = (&mut self.index, self.goal);
        let mut found = None;
        self.dresser.redraw(self.edges[seam], |curve, side| {
            let question = index.question(Form::of(curve, side));
            let is_unlike = !index.has_like(&question, goal, net);
            if is_unlike {
                found = Some(question);
            }
            is_unlike
        });
        found.map(|question| index.put_in(seam, question)).is_some()
    }

    /// Seams without which no two are alike, found greedily: the one that is alike to most first.
    ///
    /// Only the suspects can be alike to any other.
    fn cover(&self, suspects: &[usize], net: Net) -> Vec<usize> {
        // Of equals the later one, and in the next round the earlier one: either may be the one that has more room.
        let rank = |seam: usize| if self.rounds.is_multiple_of(2) { seam } else { self.edges.len() - seam };
        let mut likes: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        // A pair of suspects is looked at once.
        let is_due = |seam: usize, other: usize| other >= seam || suspects.binary_search(&other).is_err();
        let of = |&seam: &usize| self.index.likes(seam, self.goal, net, MOST_LIKES, |other| is_due(seam, other));
        let found: Vec<Vec<usize>> = suspects.par_iter().map(of).collect();
        for (&seam, others) in suspects.iter().zip(found) {
            for other in others {
                likes.entry(seam).or_default().insert(other);
                likes.entry(other).or_default().insert(seam);
            }
        }
        let mut by_count: BTreeSet<(usize, usize, usize)> =
            likes.iter().map(|(&seam, others)| (others.len(), rank(seam), seam)).collect();
        let mut chosen = BTreeSet::new();
        while let Some((_, _, seam)) = by_count.pop_last().filter(|(count, ..)| *count > 0) {
            for other in likes.remove(&seam).unwrap_or_default() {
                if let Some(others) = likes.get_mut(&other) {
                    by_count.remove(&(others.len(), rank(other), other));
                    others.remove(&seam);
                    by_count.insert((others.len(), rank(other), other));
                }
            }
            chosen.insert(seam);
        }
        chosen.into_iter().collect()
    }
}
