//! A pairing comes out the same wherever it stands in a block, whoever stands beside it, and solved by itself.

use fit::{Block, Input, LANES, Output, Outputs};
use sampling::{BLOCK, Order};
use study::{Instructions, Loaded, Plan, Supply, draw, solve};

fn plan(name: &str) -> Plan {
    let path = format!("{}/../scenarios/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let loaded = Loaded::from_file(path.as_ref(), &[]).unwrap_or_else(|p| panic!("{p}"));
    Plan::new(&loaded.scenario).expect("a joint")
}

/// Every output, what is absent and what is broken of one lane, as bits.
fn bits(block: &Block, lane: usize) -> ([u64; fit::OUTPUTS], u32, u32) {
    let outputs = std::array::from_fn(|o| block.outputs[o][lane].to_bits());
    (outputs, block.absent[lane], block.broken[lane])
}

/// A million pairings of joints with every kind of state, each in its place and in a block that was shuffled: lane `l` goes
/// to `(3 l + 1)` modulo the length, and every fourth place is taken by a pairing of another block, which is not compared.
#[test]
fn a_million_pairings_come_out_the_same_in_any_lane_beside_any_others() {
    let unit = Instructions::best();
    for name in [
        "nine-normals",
        "pinion-bolt",
        "fan-hub-gap-left",
        "five-kinds",
    ] {
        let plan = plan(name);
        let mut supply = Supply::new(&plan, Order::Stock);
        let (mut straight, mut shuffled) = (plan.block(), plan.block());
        let mut others = plan.block();
        let place = |lane: usize| (3 * lane + 1) % LANES;
        // Three lanes of four are compared: 252,000 pairings of each of four joints.
        for number in 0..336_000 / BLOCK as u64 {
            draw(unit, &plan, number, BLOCK, &mut supply, &mut straight);
            draw(unit, &plan, number + 1, BLOCK, &mut supply, &mut others);
            for column in 0..fit::INPUTS {
                for lane in 0..LANES {
                    let from = if lane % 4 == 3 { &others } else { &straight };
                    shuffled.inputs[column][place(lane)] = from.inputs[column][lane];
                }
            }
            solve(unit, &plan, Outputs::ALL, &mut straight);
            solve(unit, &plan, Outputs::ALL, &mut shuffled);
            for lane in (0..LANES).filter(|lane| lane % 4 != 3) {
                assert_eq!(
                    bits(&straight, lane),
                    bits(&shuffled, place(lane)),
                    "{name}: block {number}, lane {lane}"
                );
            }
        }
    }
}

/// One pairing by itself takes its tangents about its own angles; nothing else differs.
#[test]
fn a_pairing_solved_by_itself_agrees_with_its_lane() {
    let unit = Instructions::best();
    for name in ["nine-normals", "pinion-bolt", "fan-hub-gap-left"] {
        let plan = plan(name);
        let mut supply = Supply::new(&plan, Order::Stock);
        let mut block = plan.block();
        for number in 0..2 {
            draw(unit, &plan, number, BLOCK, &mut supply, &mut block);
            solve(unit, &plan, Outputs::ALL, &mut block);
            for lane in 0..LANES {
                let pairing = fit::Pairing(std::array::from_fn(|input| block.inputs[input][lane]));
                let alone = plan.joint.solve(&pairing, &plan.criteria);
                let together = block.solution(&plan.joint, &plan.criteria, lane);
                assert_eq!(alone.verdict, together.verdict, "{name}: lane {lane}");
                assert_eq!(alone.broken, together.broken, "{name}: lane {lane}");
                for output in Output::ALL {
                    let (a, b) = (alone.get(output), together.get(output));
                    let (Some(a), Some(b)) = (a, b) else {
                        assert_eq!(a, b, "{name}: {}", output.key());
                        continue;
                    };
                    // Load per stand-off makes a load of the last digit of a position.
                    let scale = 1.0 + a.abs();
                    assert!(
                        (a - b).abs() <= 1e-8 * scale,
                        "{name}: lane {lane}, {}: {a} alone, {b} in the block; torque {}",
                        output.key(),
                        pairing.get(Input::Torque)
                    );
                }
            }
        }
    }
}
