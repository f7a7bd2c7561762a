//! The reference for a tapered spline: every flank summed one by one, the hub's turn and its place found by
//! nested bisection.
//!
//! With `s` the advance past the place where perfect teeth would just touch, `y = r theta` the turn of the hub
//! on the pitch radius (mm), and errors normal to the flank (mm, positive touches later):
//!
//! ```text
//! s   = (S_m - S_f)/(2 tan b) + a_m - a_f - h
//! w+- = k L max(0, s sin b - e+- -+ y)       load of a flank (N)
//! sum w+ = sum w-                            the hub turns until both sides carry the same
//! F   = sum w (sin b + mu cos b)             axial load while sliding on (N)
//! e+- = profile_m+- + profile_f+- +- (index_m + index_f)
//! ```

/// Errors of one tooth and of the space it goes into, normal to the flank (mm).
#[derive(Debug, Clone, Copy, Default)]
pub struct ToothErrors {
    /// Profile errors of the male tooth: flank that closes with a positive turn, other flank.
    pub male_profile: (f64, f64),
    /// Profile errors of the female space, in the same order.
    pub female_profile: (f64, f64),
    /// Index error of the male tooth.
    pub male_index: f64,
    /// Index error of the female space.
    pub female_index: f64,
}

impl ToothErrors {
    /// `e+` and `e-` (mm).
    fn flanks(&self) -> (f64, f64) {
        let index = self.male_index + self.female_index;
        (
            self.male_profile.0 + self.female_profile.0 + index,
            self.male_profile.1 + self.female_profile.1 - index,
        )
    }
}

/// A tapered spline with its errors, its bolt and its spacer.
#[derive(Debug, Clone)]
pub struct Spline {
    /// Tooth thickness `S_m` at the male gauge plane (mm).
    pub tooth_thickness: f64,
    /// Space width `S_f` at the female gauge plane (mm).
    pub space_width: f64,
    /// Male gauge plane from the shoulder `a_m` (mm).
    pub male_plane: f64,
    /// Female gauge plane from the clamping face `a_f` (mm).
    pub female_plane: f64,
    /// Flank half-angle `b` (rad).
    pub half_angle: f64,
    /// Friction on the flanks.
    pub friction: f64,
    /// Stiffness of a flank per engaged length (N/mm per mm).
    pub flank_stiffness: f64,
    /// Engaged length `L` (mm).
    pub engaged: f64,
    /// One entry a tooth.
    pub teeth: Vec<ToothErrors>,
    /// Bolt load `B` (N).
    pub bolt_load: f64,
    /// Spacer thickness `t` (mm).
    pub thickness: f64,
    /// Axial stiffness of the spacer (N/mm), none when it is rigid.
    pub spacer: Option<f64>,
}

/// What becomes of the spline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seated {
    /// Stand-off at which both sides just touch (mm).
    pub first_touch: f64,
    /// First touch less the spacer (mm).
    pub draw_up: f64,
    /// `F(t)` (N).
    pub closing_load: f64,
    /// Where the hub stops (mm).
    pub stand_off: f64,
    /// `max(0, h - t)` (mm).
    pub gap: f64,
    /// Load on the spacer (N).
    pub clamp_load: f64,
    /// Load on the flanks `F(h)` (N).
    pub seat_load: f64,
    /// Teeth with at least one loaded flank.
    pub teeth_in_contact: usize,
    /// Those teeth per all teeth.
    pub contact_share: f64,
    /// `w+ + w-` of the most loaded tooth per the sum over all flanks; none without load.
    pub most_loaded_share: Option<f64>,
    /// `2 W (mu cos b - sin b)`, `W` the sum of one side (N).
    pub release_load: f64,
    /// Turn of the hub on the pitch radius `r theta` (mm); none without load.
    pub turn: Option<f64>,
    /// How far the nearest flank is from just touching (mm): counts are doubtful when it is no more than rounding.
    pub doubt: f64,
}

impl Spline {
    /// Stand-off at which perfect teeth would just touch (mm).
    pub fn perfect_touch(&self) -> f64 {
        (self.tooth_thickness - self.space_width) / (2.0 * libm::tan(self.half_angle))
            + self.male_plane
            - self.female_plane
    }

    /// Advance normal to the flank `s sin b` at stand-off `h` (mm).
    fn advance(&self, h: f64) -> f64 {
        (self.perfect_touch() - h) * libm::sin(self.half_angle)
    }

    /// Interferences of both flanks of every tooth, negative where there is clearance (mm).
    fn interferences(&self, h: f64, turn: f64) -> Vec<(f64, f64)> {
        let advance = self.advance(h);
        let of = |tooth: &ToothErrors| {
            let (plus, minus) = tooth.flanks();
            (advance - plus - turn, advance - minus + turn)
        };
        self.teeth.iter().map(of).collect()
    }

    /// Loads of both flanks of every tooth (N).
    fn flank_loads(&self, h: f64, turn: f64) -> Vec<(f64, f64)> {
        let load = |d: f64| self.flank_stiffness * self.engaged * d.max(0.0);
        let both = self.interferences(h, turn);
        both.into_iter()
            .map(|(plus, minus)| (load(plus), load(minus)))
            .collect()
    }

    /// Turns between which the hub must lie at stand-off `h`.
    fn reach(&self, h: f64) -> f64 {
        let largest = |m: f64, tooth: &ToothErrors| {
            let (plus, minus) = tooth.flanks();
            m.max(plus.abs()).max(minus.abs())
        };
        self.advance(h).abs() + self.teeth.iter().fold(0.0, largest)
    }

    /// The turn at which both sides carry the same.
    fn balanced_turn(&self, h: f64) -> f64 {
        let reach = self.reach(h);
        let excess = |turn: f64| {
            let loads = self.flank_loads(h, turn);
            loads.iter().map(|w| w.0).sum::<f64>() - loads.iter().map(|w| w.1).sum::<f64>()
        };
        bisect(excess, -reach, reach)
    }

    /// Sum of all flank loads at stand-off `h` (N).
    fn sum(&self, h: f64) -> f64 {
        let loads = self.flank_loads(h, self.balanced_turn(h));
        loads.iter().map(|w| w.0 + w.1).sum()
    }

    /// Axial load of the flanks while sliding on (N).
    pub fn seat_load(&self, h: f64) -> f64 {
        let (sin, cos) = (libm::sin(self.half_angle), libm::cos(self.half_angle));
        self.sum(h) * (sin + self.friction * cos)
    }

    /// The largest stand-off at which no turn frees both sides.
    pub fn first_touch(&self) -> f64 {
        // The smallest clearance of the better turn: the one at which both sides are equally near.
        let clearance = |h: f64| {
            let nearest = |turn: f64| {
                let both = self.interferences(h, turn);
                let plus = both.iter().map(|d| -d.0).fold(f64::INFINITY, f64::min);
                let minus = both.iter().map(|d| -d.1).fold(f64::INFINITY, f64::min);
                (plus, minus)
            };
            let turn = bisect(
                |turn| nearest(turn).1 - nearest(turn).0,
                -self.reach(h),
                self.reach(h),
            );
            let (plus, minus) = nearest(turn);
            plus.min(minus)
        };
        let away = 2.0 * self.reach(self.perfect_touch()) / libm::sin(self.half_angle) + 1.0;
        let perfect = self.perfect_touch();
        bisect(|h| -clearance(h), perfect - away, perfect + away)
    }

    /// Where the hub stops under the bolt.
    fn stand_off(&self, first_touch: f64) -> f64 {
        let (t, bolt) = (self.thickness, self.bolt_load);
        if self.seat_load(t) > bolt {
            return bisect(|h| self.seat_load(h) - bolt, t, first_touch);
        }
        match self.spacer {
            None => t,
            Some(stiffness) => bisect(
                |h| self.seat_load(h) + stiffness * (t - h) - bolt,
                t - bolt / stiffness,
                t,
            ),
        }
    }

    /// The whole answer.
    pub fn solve(&self) -> Seated {
        let first_touch = self.first_touch();
        let h = self.stand_off(first_touch);
        let turn = self.balanced_turn(h);
        let loads = self.flank_loads(h, turn);
        let sum: f64 = loads.iter().map(|w| w.0 + w.1).sum();
        let one_side: f64 = loads.iter().map(|w| w.0).sum();
        let most = loads.iter().map(|w| w.0 + w.1).fold(0.0, f64::max);
        let touching = loads.iter().filter(|w| w.0 > 0.0 || w.1 > 0.0).count();
        let loaded = sum > 0.0;
        let both = self.interferences(h, turn);
        let doubt = both
            .iter()
            .map(|d| d.0.abs().min(d.1.abs()))
            .fold(f64::INFINITY, f64::min);
        let (sin, cos) = (libm::sin(self.half_angle), libm::cos(self.half_angle));
        let seat_load = sum * (sin + self.friction * cos);
        let open = h > self.thickness;
        Seated {
            first_touch,
            draw_up: first_touch - self.thickness,
            closing_load: self.seat_load(self.thickness),
            stand_off: h,
            gap: (h - self.thickness).max(0.0),
            clamp_load: match self.spacer {
                _ if open => 0.0,
                None => self.bolt_load - seat_load,
                Some(stiffness) => stiffness * (self.thickness - h),
            },
            seat_load,
            teeth_in_contact: touching,
            contact_share: touching as f64 / self.teeth.len() as f64,
            most_loaded_share: loaded.then(|| most / sum),
            release_load: 2.0 * one_side * (self.friction * cos - sin),
            turn: loaded.then_some(turn),
            doubt,
        }
    }
}

/// Root of `f`, which is positive at `inner` and not at `outer`; halved until no number lies between.
pub fn bisect(f: impl Fn(f64) -> f64, inner: f64, outer: f64) -> f64 {
    let (mut a, mut b) = (inner, outer);
    loop {
        let middle = 0.5 * (a + b);
        if middle == a || middle == b {
            return middle;
        }
        if f(middle) > 0.0 {
            a = middle
        } else {
            b = middle
        }
    }
}
