//! All seams of a puzzle, to be asked which of them are alike.

use super::basis::{Basis, KEPT, Told};
use super::fit::misfit;
use super::form::Form;
use rayon::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// Which pairs are laid onto each other to find their misfit: those whose forms differ little enough.
///
/// By the weights of the [`Basis`] two forms of a small misfit differ by no more than it in the mean. Where lines bend
/// sharply they may differ by more: by how much was measured on all pairs of many puzzles.
#[derive(Clone, Copy, Debug)]
pub(super) struct Net {
    /// The most that forms may differ in the mean, in misfits.
    mean: f64,
    /// The most that they may differ at any point, in misfits.
    most: f64,
}

/// Lets about one alike pair in a hundred through, and takes a tenth of the time of the next one.
pub(super) const COARSE: Net = Net { mean: 1.0, most: 3.0 };
/// Lets none through of some hundred thousand: they differed by at most 1.34 and 3.6 misfits.
pub(super) const FINE: Net = Net { mean: 1.4, most: 4.0 };

/// Seams that are compared at the same time.
const BATCH: usize = 64;

type Entry = GeomWithData<[f64; KEPT], usize>;

/// All seams, by number.
pub(super) struct Index {
    basis: Basis,
    tree: RTree<Entry>,
    seams: Vec<Seam>,
    faces_alike: bool,
}

/// A seam: as it is, and turned over where that counts.
struct Seam {
    form: Form,
    told: Told,
}

/// What is asked about.
pub(super) struct Question {
    seam: Seam,
    turned_over: Option<Seam>,
}

/// Two seams that are alike.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    /// Their misfit, mm.
    pub misfit: f64,
    /// Their numbers.
    pub seams: [usize; 2],
    /// Whether one of them has to be turned over.
    pub turned_over: bool,
}

/// What a comparison of all seams showed.
pub(super) struct Review {
    /// The two seams that are most alike; where several are equally so, those with the lowest numbers.
    pub least: Option<Pair>,
    /// The seams that are alike to others, in order.
    pub alike: Vec<usize>,
}

impl Index {
    /// For these seams.
    pub(super) fn of(forms: Vec<Form>, faces_alike: bool) -> Self {
        let basis = Basis::of(&forms);
        let seams: Vec<Seam> = forms.into_iter().map(|form| told(&basis, form)).collect();
        let entries = seams.iter().enumerate().map(|(number, seam)| Entry::new(seam.told.numbers, number));
        Self { tree: RTree::bulk_load(entries.collect()), basis, seams, faces_alike }
    }

    /// What is asked about a form.
    pub(super) fn question(&self, form: Form) -> Question {
        let turned_over = self.faces_alike.then(|| told(&self.basis, form.turned_over()));
        Question { seam: told(&self.basis, form), turned_over }
    }

    /// The question about a seam that is here.
    pub(super) fn question_of(&self, number: usize) -> Question {
        self.question(self.seams[number].form.clone())
    }

    /// Takes a seam out, so that it is no longer found.
    pub(super) fn take_out(&mut self, number: usize) {
        self.tree.remove(&Entry::new(self.seams[number].told.numbers, number));
    }

    /// Puts a seam that was taken out back as it was.
    pub(super) fn put_back(&mut self, number: usize) {
        self.tree.insert(Entry::new(self.seams[number].told.numbers, number));
    }

    /// Puts a seam that was taken out back with another form.
    pub(super) fn put_in(&mut self, number: usize, question: Question) {
        self.seams[number] = question.seam;
        self.put_back(number);
    }

    /// Whether something with this form would be alike to any seam here, or to itself turned over.
    pub(super) fn has_like(&self, question: &Question, limit: f64, net: Net) -> bool {
        let own = question.turned_over.iter().any(|t| misfit(&t.form, &question.seam.form, limit).is_some());
        own || question
            .ways()
            .any(|way| self.near(way, limit, net).any(|n| misfit(&way.form, &self.seams[n].form, limit).is_some()))
    }

    /// Up to `most` of the seams here that seam `number` is alike to, itself among them where it is when turned over.
    pub(super) fn likes(
        &self,
        number: usize,
        limit: f64,
        net: Net,
        most: usize,
        is_due: impl Fn(usize) -> bool,
    ) -> Vec<usize> {
        let question = self.question_of(number);
        let mut found = Vec::new();
        for (way, turned_over) in question.ways().zip([false, true]) {
            let others = self.near(way, limit, net).filter(|&n| is_due(n) && (turned_over || n != number));
            let like = others.filter(|&n| misfit(&way.form, &self.seams[n].form, limit).is_some());
            found.extend(like.take(most - found.len()));
        }
        found
    }

    /// Compares all seams with the fine net: which two are most alike, and which seams are alike to others by this limit.
    pub(super) fn review(&self, limit: f64) -> Review {
        let numbers: Vec<usize> = (0..self.seams.len()).collect();
        let mut review = Review { least: None, alike: Vec::new() };
        // Within a batch seams are compared at the same time; what one batch found narrows the search of the next.
        for batch in numbers.chunks(BATCH) {
            let most = review.least.map_or(f64::INFINITY, |l| l.misfit).max(limit);
            let found: Vec<Vec<Pair>> = batch.par_iter().map(|&number| self.pairs(number, most, limit)).collect();
            for pair in found.into_iter().flatten() {
                if pair.misfit < limit {
                    review.alike.extend(pair.seams);
                }
                if review.least.is_none_or(|l| pair.misfit < l.misfit) {
                    review.least = Some(pair);
                }
            }
        }
        review.alike.sort_unstable();
        review.alike.dedup();
        review
    }

    /// The pairs of a seam with itself and later ones, each with a misfit below `most`; of those above `limit` only such
    /// as are nearer than all before.
    fn pairs(&self, number: usize, mut most: f64, limit: f64) -> Vec<Pair> {
        let question = self.question_of(number);
        let mut found = Vec::new();
        for (way, turned_over) in question.ways().zip([false, true]) {
            for (entry, squared) in self.tree.nearest_neighbor_iter_with_distance_2(&way.told.numbers) {
                if squared.sqrt() > FINE.mean * most {
                    break;
                }
                let other = entry.data;
                let is_new = other > number || (other == number && turned_over);
                if !is_new || !FINE.holds(way, &self.seams[other], most) {
                    continue;
                }
                if let Some(misfit) = misfit(&way.form, &self.seams[other].form, most) {
                    found.push(Pair { misfit, seams: [number, other], turned_over });
                    most = misfit.max(limit);
                }
            }
        }
        found
    }

    /// The seams here that may be alike to one.
    fn near(&self, way: &Seam, limit: f64, net: Net) -> impl Iterator<Item = usize> {
        let radius = net.mean * limit;
        self.tree
            .locate_within_distance(way.told.numbers, radius * radius)
            .map(|entry| entry.data)
            .filter(move |&n| net.holds(way, &self.seams[n], limit))
    }
}

impl Net {
    fn holds(self, a: &Seam, b: &Seam, limit: f64) -> bool {
        a.told.is_near(&b.told, self.mean * limit, self.most * limit)
    }
}

impl Question {
    /// The form as it is, and turned over where that counts.
    fn ways(&self) -> impl Iterator<Item = &Seam> {
        std::iter::once(&self.seam).chain(&self.turned_over)
    }
}

fn told(basis: &Basis, form: Form) -> Seam {
    Seam { told: basis.tell(&form), form }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Affine, BezPath};
    use std::collections::BTreeSet;

    /// A seam whose knob leans by `lean`, moved somewhere.
    fn seam(lean: f64, turn: f64) -> Form {
        let head = format!("M0 0C6 1 9 2 10 5C{} 9 {} 9 15 5C16 2 19 1 25 0", 9.5 + lean, 15.5 + lean);
        let path = Affine::rotate(turn) * BezPath::from_svg(&head).unwrap();
        Form::of(&path.segments().collect::<Vec<_>>(), 1.0)
    }

    fn least(forms: Vec<Form>, faces_alike: bool) -> Pair {
        Index::of(forms, faces_alike).review(0.0).least.unwrap()
    }

    #[test]
    fn congruent_seams_have_no_misfit() {
        let found = least(vec![seam(-4.0, 0.0), seam(1.0, 0.3), seam(3.0, 1.0), seam(1.0, 2.0)], false);
        assert!(found.misfit < 1e-3 && found.seams == [1, 3] && !found.turned_over, "{found:?}");
    }

    #[test]
    fn mirrored_seams_are_alike_only_when_faces_are() {
        // The seam that leans by -2 is the mirror image of the one that leans by 2.
        let forms = || vec![seam(-2.0, 0.0), seam(5.0, 0.4), seam(2.0, 1.0)];
        let different = least(forms(), false);
        assert!(different.misfit > 0.5, "{different:?}");
        let alike = least(forms(), true);
        assert!(alike.misfit < 1e-3 && alike.seams == [0, 2] && alike.turned_over, "{alike:?}");
        // An even knob is its own mirror image.
        let own = least(vec![seam(-5.0, 0.0), seam(0.0, 0.4), seam(3.0, 1.0)], true);
        assert!(own.misfit < 1e-3 && own.seams == [1, 1], "{own:?}");
    }

    #[test]
    fn a_seam_is_found_until_it_is_taken_out() {
        let mut index = Index::of((0..40).map(|k| seam(f64::from(k) / 4.0 - 5.0, 0.1)).collect(), false);
        let question = index.question(seam(1.0, 2.0));
        assert!(index.has_like(&question, 0.03, FINE));
        let likes = |limit| BTreeSet::from_iter(index.likes(24, limit, FINE, 9, |_| true));
        assert_eq!(likes(0.03), BTreeSet::new());
        assert_eq!(likes(0.1), BTreeSet::from([23, 25]));
        index.take_out(24);
        assert!(!index.has_like(&question, 0.03, FINE));
        index.put_back(24);
        assert!(index.has_like(&question, 0.03, FINE));
    }
}
