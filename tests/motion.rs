//! Estimated times against a head that is moved step by step.

mod simulated;

use kerfbook::driver::{Request, build, project_root};
use kerfbook::figures::Cache;
use kerfbook::geometry::{FillRule, Region, Stroke, subpaths};
use kerfbook::plan::{Burn, Cornering, Motion, Order, line_time, move_time, ordered, row_time, rows, run_up};
use kerfbook::source::DiskFiles;
use kerfbook::units::{Mm, MmPerSecond, MmPerSecond2};
use kurbo::{BezPath, ParamCurve};
use simulated::Head;
use std::path::{Path, PathBuf};

/// How far an estimate may be from the steps.
const WITHIN: f64 = 0.02;

const TRAVEL: f64 = 300.0;

/// Strokes that are burned one after the other.
struct Job {
    name: String,
    lines: Vec<BezPath>,
    /// mm/s
    speed: f64,
    /// mm/s²
    acceleration: f64,
    /// mm
    corner: Option<f64>,
}

impl Job {
    fn estimated(&self) -> f64 {
        let (speed, motion) = (MmPerSecond::new(self.speed), self.motion());
        let burning: f64 = self.lines.iter().map(|l| line_time(l, speed, &motion).get()).sum();
        let moving = self.moves().map(|d| move_time(Mm::new(d), motion.travel, motion.acceleration).get());
        burning + moving.sum::<f64>()
    }

    fn simulated(&self) -> f64 {
        let head = Head { acceleration: self.acceleration, corner: self.corner };
        let burning: f64 = self.lines.iter().map(|l| head.follows(l, self.speed)).sum();
        burning + self.moves().map(|d| head.moves(d, TRAVEL)).sum::<f64>()
    }

    fn motion(&self) -> Motion {
        Motion {
            travel: MmPerSecond::new(TRAVEL),
            acceleration: MmPerSecond2::new(self.acceleration),
            corners: self.corner.map_or(Cornering::Stopping, |d| Cornering::Within(Mm::new(d))),
            run_up: None,
            skips_gaps: false,
        }
    }

    fn moves(&self) -> impl Iterator<Item = f64> + '_ {
        let ends = |p: &BezPath| {
            let segments: Vec<_> = p.segments().collect();
            (segments[0].start(), segments[segments.len() - 1].end())
        };
        self.lines.windows(2).map(move |w| ends(&w[0]).1.distance(ends(&w[1]).0))
    }
}

/// Every second of the committed outlines, each at one of several speeds, with and without a known corner.
fn outlines() -> Vec<Job> {
    let text = include_str!("fixtures/geometry/outlines.txt");
    let lines = text.lines().filter(|l| !l.starts_with('#') && !l.is_empty()).step_by(2);
    let job = |(i, line): (usize, &str)| {
        let fields: Vec<&str> = line.split('\t').collect();
        let path = BezPath::from_svg(fields[2]).expect("path data");
        let strokes = subpaths(&path)
            .into_iter()
            .filter(|p| p.segments().next().is_some())
            .map(|path| Stroke { path, depth: 0 });
        Job {
            name: fields[0].to_owned(),
            lines: ordered(strokes.collect(), Order::Free),
            speed: [8.0, 25.0, 60.0, 150.0][i % 4],
            acceleration: [500.0, 3000.0, 1500.0][i % 3],
            corner: (i % 2 == 1).then_some(0.03),
        }
    };
    lines.enumerate().map(job).collect()
}

/// What the committed recipes cut and score.
fn recipes() -> Vec<Job> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes");
    let mut found: Vec<PathBuf> = std::fs::read_dir(root).unwrap().map(|e| e.unwrap().path()).collect();
    found.sort();
    let mut jobs = Vec::new();
    for folder in found.into_iter().filter(|p| p.is_dir()) {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let recipe = folder.join(format!("{name}.recipe.kdl"));
        let request = Request { recipe: recipe.clone(), ..Request::default() };
        let (built, _) = build(&request, &DiskFiles::new(&project_root(&recipe), &[]), &Cache::default());
        let plan = built.plan.expect("a plan");
        for operation in plan.runs.iter().flat_map(|run| &run.operations) {
            let (Burn::Lines(lines), Some(setting)) = (&operation.burn, &operation.setting) else { continue };
            jobs.push(Job {
                name: format!("{name} {}", operation.name),
                lines: lines.clone(),
                speed: setting.speed.get(),
                acceleration: plan.machine.acceleration.get(),
                corner: None,
            });
        }
    }
    jobs
}

#[test]
fn strokes_take_as_long_as_a_head_that_is_moved_step_by_step() {
    let jobs: Vec<Job> = outlines().into_iter().chain(recipes()).collect();
    assert!(50 <= jobs.len());
    let mut worst = (0.0_f64, "");
    for job in &jobs {
        let off = job.estimated() / job.simulated() - 1.0;
        assert!(off.abs() < WITHIN, "{} is off by {off:+.4}", job.name);
        worst = if worst.0 < off.abs() { (off.abs(), &job.name) } else { worst };
    }
    println!("{} jobs, the worst off by {:.4}: {}", jobs.len(), worst.0, worst.1);
}

#[test]
fn rows_take_as_long_as_a_head_that_is_moved_step_by_step() {
    let speed = MmPerSecond::new(200.0);
    for job in outlines().iter().step_by(10) {
        let path = BezPath::from_vec(job.lines.iter().flat_map(|l| l.elements().iter().copied()).collect());
        let region = Region::from_path(&path, FillRule::EvenOdd).expect("finite");
        let rows = rows(&region, Mm::new(0.4));
        let (motion, head) = (job.motion(), Head { acceleration: job.acceleration, corner: None });
        let run = run_up(speed, &motion).get();
        let mut time = 0.0;
        for (i, row) in rows.rows.iter().enumerate() {
            time += head.moves(row.right - row.left + 2.0 * run, speed.get());
            let Some(next) = rows.rows.get(i + 1) else { continue };
            let across = if i % 2 == 0 { next.right - row.right } else { next.left - row.left };
            time += head.moves(across.hypot(next.y - row.y), TRAVEL);
        }
        let off = row_time(&rows, speed, &motion).get() / time - 1.0;
        assert!(off.abs() < WITHIN, "{} is off by {off:+.4}", job.name);
    }
}
