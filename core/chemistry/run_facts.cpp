#include "core/chemistry/run_facts.hpp"

namespace nestcup {

namespace {

/// A temperature's own error, one that no other value shares.
Measured of_its_own(const Uncertain& quantity, const std::string& name, Inputs& inputs) {
  const InputId input = inputs.add({name, ErrorSource::temperature, quantity.dof});
  return Measured::of(quantity.value, input, quantity.u);
}

Measured offset(const ProbeError& probe, Inputs& inputs) {
  const InputId input =
      inputs.shared("offset of " + probe.key, {"offset of " + probe.key, ErrorSource::probe, {}});
  return Measured::of(0.0, input, probe.u_offset_K);
}

Measured slope(const ProbeError& probe, Inputs& inputs) {
  const InputId input =
      inputs.shared("scale of " + probe.key, {"scale of " + probe.key, ErrorSource::probe, {}});
  return Measured::of(1.0, input, probe.u_slope);
}

}  // namespace

RunTemperatures run_temperatures(const RunFacts& facts, Inputs& inputs) {
  const std::string of_run = " of run " + facts.id;
  RunTemperatures run;
  run.cup_degC =
      of_its_own(facts.cup_degC, "cup" + of_run, inputs) + offset(facts.cup_probe, inputs);
  // An error of the scale turns about the cup's temperature: what matters are differences.
  const Measured cup_scale = slope(facts.cup_probe, inputs);
  run.rise_K = of_its_own(facts.rise_K, "rise" + of_run, inputs) * cup_scale;
  run.final_degC = run.cup_degC + run.rise_K;
  if (facts.final_degC) {
    run.final_degC = of_its_own(*facts.final_degC, "final" + of_run, inputs);
    run.rise_K = run.final_degC - run.cup_degC;
  }
  if (!facts.added_degC) return run;
  const Measured added = of_its_own(*facts.added_degC, "added" + of_run, inputs);
  if (facts.added_by_hand) {
    run.added_degC = added;
  } else if (facts.added_probe) {
    const Measured above = added - facts.cup_degC.value;
    run.added_degC = facts.cup_degC.value + above * slope(*facts.added_probe, inputs) +
                     offset(*facts.added_probe, inputs);
  } else {
    const Measured above = added - facts.cup_degC.value;
    run.added_degC = facts.cup_degC.value + above * cup_scale + offset(facts.cup_probe, inputs);
  }
  return run;
}

}  // namespace nestcup
