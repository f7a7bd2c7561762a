//! Every characteristic of a scenario, to look at or to change.

use super::{Characteristic, Cones, Scenario, Seat, Spline, SplinePart, Tightening};

impl Scenario {
    /// The cones, where the seat is one.
    pub fn cones(&self) -> Option<&Cones> {
        match &self.seat {
            Seat::Cone(cones) => Some(cones),
            Seat::Spline(_) => None,
        }
    }

    /// Every characteristic that the scenario has, in the order in which a reader expects them.
    pub fn characteristics(&self) -> Vec<&Characteristic> {
        let mut all = match &self.seat {
            Seat::Cone(cones) => cones.characteristics(),
            Seat::Spline(spline) => spline.characteristics(),
        };
        all.push(&self.spacer.thickness);
        all.extend(&self.spacer.settling);
        all.push(&self.contact.friction);
        all.extend(self.contact.face.iter().map(|face| &face.friction));
        all.push(&self.bolt.torque);
        match &self.bolt.tightening {
            Tightening::NutFactor(factor) => all.push(factor),
            Tightening::Friction { thread, head, .. } => all.extend([thread, head]),
        }
        all.extend(&self.bolt.settling);
        all
    }
}

impl Scenario {
    /// Does something to every characteristic.
    pub(crate) fn each_characteristic(&mut self, act: &mut dyn FnMut(&mut Characteristic)) {
        match &mut self.seat {
            Seat::Cone(cones) => [&mut cones.shaft, &mut cones.hub]
                .into_iter()
                .for_each(|c| {
                    act(&mut c.gauge_plane);
                    act(&mut c.gauge_diameter);
                    act(&mut c.half_angle);
                }),
            Seat::Spline(spline) => {
                act(&mut spline.flank_half_angle);
                [&mut spline.shaft, &mut spline.hub]
                    .into_iter()
                    .for_each(|half| {
                        act(&mut half.gauge_plane);
                        act(&mut half.size);
                        act(&mut half.index_error);
                        act(&mut half.profile_error);
                    });
            }
        }
        act(&mut self.spacer.thickness);
        self.spacer.settling.iter_mut().for_each(&mut *act);
        act(&mut self.contact.friction);
        if let Some(face) = &mut self.contact.face {
            act(&mut face.friction);
        }
        act(&mut self.bolt.torque);
        match &mut self.bolt.tightening {
            Tightening::NutFactor(factor) => act(factor),
            Tightening::Friction { thread, head, .. } => {
                act(thread);
                act(head);
            }
        }
        self.bolt.settling.iter_mut().for_each(act);
    }

    /// The same scenario without inspection.
    pub(crate) fn drop_inspection(&mut self) {
        self.each_characteristic(&mut |c| c.inspection = None);
    }
}

impl Cones {
    fn characteristics(&self) -> Vec<&Characteristic> {
        [&self.shaft, &self.hub]
            .into_iter()
            .flat_map(|cone| [&cone.gauge_plane, &cone.gauge_diameter, &cone.half_angle])
            .collect()
    }
}

impl Spline {
    fn characteristics(&self) -> Vec<&Characteristic> {
        std::iter::once(&self.flank_half_angle)
            .chain(self.shaft.characteristics())
            .chain(self.hub.characteristics())
            .collect()
    }
}

impl SplinePart {
    fn characteristics(&self) -> [&Characteristic; 4] {
        [
            &self.gauge_plane,
            &self.size,
            &self.index_error,
            &self.profile_error,
        ]
    }
}
