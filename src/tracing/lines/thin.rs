//! Ink thinned to chains of single pixels.
//!
//! Guo and Hall, Parallel thinning with two-subiteration algorithms, 1989 (from memory): unlike the older rules it leaves
//! no line of two pixels along a diagonal to vanish. Only pixels whose neighbours have changed are looked at again, so the
//! time grows with the ink and not with the ink times its thickness.

/// What is set on a sheet with a rim of one pixel that is not.
pub(in crate::tracing) struct Skeleton {
    /// Pixels in a row, the rim included.
    pub stride: usize,
    /// Bit 0: set. The other bits are of use only while thinning.
    pub cells: Vec<u8>,
}

const SET: u8 = 1;

/// Waiting to be looked at in the first and second kind of round.
const WAITING: [u8; 2] = [2, 4];

/// Whether a pixel with such neighbours goes, in the first and second kind of round.
const GOES: [[bool; 256]; 2] = [table(0), table(1)];

const fn table(kind: usize) -> [bool; 256] {
    let mut goes = [false; 256];
    let mut code = 0;
    while code < 256 {
        goes[code] = goes_away(code, kind);
        code += 1;
    }
    goes
}

/// The rule for neighbours given as bits, clockwise from the one above.
const fn goes_away(code: usize, kind: usize) -> bool {
    let p = [
        code & 1 > 0,
        code & 2 > 0,
        code & 4 > 0,
        code & 8 > 0,
        code & 16 > 0,
        code & 32 > 0,
        code & 64 > 0,
        code & 128 > 0,
    ];
    let [n, ne, e, se, s, sw, w, nw] = p;
    let parts =
        (!n && (ne || e)) as u8 + (!e && (se || s)) as u8 + (!s && (sw || w)) as u8 + (!w && (nw || n)) as u8;
    let first = (nw || n) as u8 + (ne || e) as u8 + (se || s) as u8 + (sw || w) as u8;
    let second = (n || ne) as u8 + (e || se) as u8 + (s || sw) as u8 + (w || nw) as u8;
    let fewer = if first < second { first } else { second };
    let stays = if kind == 0 { (s || sw || !nw) && w } else { (n || ne || !se) && e };
    parts == 1 && fewer >= 2 && fewer <= 3 && !stays
}

impl Skeleton {
    /// The pixels set on a sheet so wide.
    fn of(set: &[bool], width: usize) -> Self {
        let (stride, height) = (width + 2, set.len() / width.max(1));
        let mut cells = vec![0; stride * (height + 2)];
        for (i, _) in set.iter().enumerate().filter(|(_, s)| **s) {
            cells[(i / width + 1) * stride + i % width + 1] = SET;
        }
        Self { stride, cells }
    }

    /// The steps to the eight neighbours, clockwise from the one above, to be added wrapping.
    pub fn steps(&self) -> [usize; 8] {
        let s = self.stride;
        [
            s.wrapping_neg(),
            1_usize.wrapping_sub(s),
            1,
            s + 1,
            s,
            s - 1,
            1_usize.wrapping_neg(),
            (s + 1).wrapping_neg(),
        ]
    }

    /// Whether a pixel is set.
    pub fn is_set(&self, i: usize) -> bool {
        self.cells[i] & SET > 0
    }

    /// The neighbours of a pixel as bits, clockwise from the one above. The pixel must not lie on the rim.
    pub fn code(&self, i: usize) -> usize {
        let steps = self.steps();
        (0..8).filter(|&k| self.is_set(i.wrapping_add(steps[k]))).map(|k| 1 << k).sum()
    }

    /// One round: everything that may go at once does. Its neighbours wait to be looked at.
    fn round(&mut self, kind: usize, waiting: &mut [Vec<usize>; 2]) {
        let steps = self.steps();
        let mut going = std::mem::take(&mut waiting[kind]);
        for &i in &going {
            self.cells[i] &= !WAITING[kind];
        }
        going.retain(|&i| self.is_set(i) && GOES[kind][self.code(i)]);
        for &i in &going {
            self.cells[i] &= !SET;
        }
        for j in going.iter().flat_map(|&i| steps.map(|step| i.wrapping_add(step))) {
            for (later, bit) in waiting.iter_mut().zip(WAITING) {
                if self.cells[j] & (SET | bit) == SET {
                    self.cells[j] |= bit;
                    later.push(j);
                }
            }
        }
    }
}

/// The set pixels thinned as far as they still hang together as before, ends kept.
pub(in crate::tracing) fn thinned(set: &[bool], width: usize) -> Skeleton {
    let mut skeleton = Skeleton::of(set, width);
    let rim: Vec<usize> =
        (0..skeleton.cells.len()).filter(|&i| skeleton.is_set(i) && skeleton.code(i) != 255).collect();
    for &i in &rim {
        skeleton.cells[i] |= WAITING[0] | WAITING[1];
    }
    let mut waiting = [rim.clone(), rim];
    while !waiting.iter().all(Vec::is_empty) {
        skeleton.round(0, &mut waiting);
        skeleton.round(1, &mut waiting);
    }
    skeleton
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thin(rows: &[&str]) -> Vec<String> {
        let set: Vec<bool> = rows.iter().flat_map(|r| r.bytes().map(|b| b == b'#')).collect();
        let skeleton = thinned(&set, rows[0].len());
        let row = |y: usize| {
            let at = (y + 1) * skeleton.stride + 1;
            (0..rows[0].len()).map(|x| if skeleton.is_set(at + x) { '#' } else { '.' }).collect()
        };
        (0..rows.len()).map(row).collect()
    }

    #[test]
    fn a_bar_becomes_a_line() {
        let bar = ["...........", ".#########.", ".#########.", ".#########.", "..........."];
        let found = thin(&bar);
        assert!(found[2].contains("#####"), "{found:#?}");
        let left: usize = found.iter().map(|r| r.matches('#').count()).sum();
        assert!(left <= 9, "{found:#?}");
    }

    /// The case that other rules lose: two pixels along a diagonal.
    #[test]
    fn a_diagonal_two_pixels_thick_stays() {
        let found = thin(&[
            "##......", ".##.....", "..##....", "...##...", "....##..", ".....##.", "......##", "........",
        ]);
        let left: usize = found.iter().map(|r| r.matches('#').count()).sum();
        assert!(left >= 6, "{found:#?}");
    }

    #[test]
    fn a_ring_stays_a_ring_and_a_blot_becomes_a_pixel() {
        let ring = thin(&["#####", "#####", "##.##", "#####", "#####"]);
        assert_eq!(ring[2].as_bytes()[2], b'.');
        assert!(ring.iter().map(|r| r.matches('#').count()).sum::<usize>() >= 4, "{ring:#?}");
        assert_eq!(thin(&["#"]), ["#"]);
    }
}
