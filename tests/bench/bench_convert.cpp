// What a conversion costs and how exact it is: raw value to temperature for each kind of probe, and
// the approximate inverse polynomials of thermocouples beside the solved reference functions.
//
// bench_convert [CONVERSIONS] prints one figure a line: name, value, unit. It ends with 1 where a
// round trip is worse than stated in drivers/transducer, or an inverse polynomial is than published
// (then one of the two functions is not what it should be); times are never judged.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

#include "drivers/transducer/thermocouple.hpp"
#include "drivers/transducer/transducer.hpp"
#include "tests/bench/inverse_polynomials.hpp"

namespace nestcup::bench {
namespace {

using drivers::Transducer;

/// Raw values that one pass converts, so that branches are not learnt by heart.
constexpr int values_per_pass = 4096;

void print(const std::string& name, const char* figure, double value, const char* unit) {
  fmt::print("convert.{}.{} {:.4g} {}\n", name, figure, value, unit);
}

struct Probe {
  std::string name;
  TransducerSettings settings;
  RawUnit unit;
  double lowest_degC, highest_degC;
  double allowed_K = 1e-6;  ///< of a round trip
};

std::vector<Probe> probes() {
  std::vector<Probe> all;
  for (int i = 0; i < 8; ++i) {
    const auto type = static_cast<ThermocoupleType>(i);
    const auto range = drivers::thermocouple_measuring_range(type);
    all.push_back({fmt::format("thermocouple.{}", thermocouple_letter(type)),
                   ThermocoupleSettings{type, 23.0}, RawUnit::microvolt, range.lowest_degC,
                   range.highest_degC});
    // Its reference function steps by 1.2e-6 K at 760 degC.
    if (type == ThermocoupleType::J) all.back().allowed_K = 1e-5;
  }
  const SteinhartHart law{1.129148e-3, 2.34125e-4, 8.76741e-8};
  const Divider divider{10'000.0, true, 65'535.0};
  const SelfHeating heating{7.5, 5.0, 0.0};
  const ThermistorPoints points{{{{32128.0, 0.0}, {9814.0, 25.0}, {3542.0, 50.0}}}};
  all.push_back(
      {"thermistor.steinhart_hart", ThermistorSettings{law, {}, {}}, RawUnit::ohm, -60, 250});
  all.push_back({"thermistor.beta", ThermistorSettings{BetaLaw{}, {}, {}}, RawUnit::ohm, -60, 250});
  all.push_back({"thermistor.points", ThermistorSettings{points, {}, {}}, RawUnit::ohm, -60, 250});
  all.push_back(
      {"thermistor.divider", ThermistorSettings{law, divider, {}}, RawUnit::count, -60, 250});
  all.push_back({"thermistor.self_heating", ThermistorSettings{law, divider, heating},
                 RawUnit::count, -60, 249});
  all.push_back({"platinum.ohm", PlatinumSettings{}, RawUnit::ohm, -200, 850});
  all.push_back({"platinum.divider", PlatinumSettings{1000.0, 2, 0.4, divider, {}}, RawUnit::count,
                 -200, 850});
  return all;
}

/// Temperatures from lowest to highest, spread evenly but in no order.
std::vector<double> temperatures(const Probe& probe) {
  std::vector<double> all;
  for (int i = 0; i < values_per_pass; ++i) {
    const int place = i * 1021 % values_per_pass;  // 1021 and 4096 share no factor
    all.push_back(probe.lowest_degC +
                  (probe.highest_degC - probe.lowest_degC) * place / (values_per_pass - 1.0));
  }
  return all;
}

template <class Convert>
double ns_each(const std::vector<double>& values, int conversions, Convert convert) {
  using Clock = std::chrono::steady_clock;
  const int passes = std::max(1, conversions / values_per_pass);
  double sum = 0.0;
  const auto start = Clock::now();
  for (int pass = 0; pass < passes; ++pass) {
    for (const double value : values) sum += convert(value);
  }
  const std::chrono::duration<double, std::nano> took = Clock::now() - start;
  volatile double kept = sum;  // or the work would be left out
  (void)kept;
  return took.count() / (static_cast<double>(passes) * values_per_pass);
}

bool run_probe(const Probe& probe, int conversions) {
  const auto transducer = Transducer::make(probe.settings, probe.unit);
  if (!transducer) {
    fmt::print(stderr, "{}: {}\n", probe.name, transducer.error().text);
    return false;
  }
  const std::vector<double> wanted_degC = temperatures(probe);
  std::vector<double> raw;
  double worst_K = 0.0;
  for (const double degC : wanted_degC) {
    const auto sent = transducer->to_raw(degC);
    raw.push_back(std::holds_alternative<double>(sent) ? std::get<double>(sent) : std::nan(""));
    const auto back = transducer->to_degC(raw.back());
    const bool is_number = std::holds_alternative<double>(back);
    // The last bit of the emf may lie beyond the range's end; anything else is a failure.
    const bool at_end = degC == probe.lowest_degC || degC == probe.highest_degC;
    if (!is_number && at_end) continue;
    worst_K = std::max(worst_K, is_number ? std::fabs(std::get<double>(back) - degC) : HUGE_VAL);
  }
  const auto degC_of = [&](double value) {
    const auto found = transducer->to_degC(value);
    const auto* const degC = std::get_if<double>(&found);
    return degC == nullptr ? 0.0 : *degC;
  };
  print(probe.name, "to_degC", ns_each(raw, conversions, degC_of), "ns");
  print(probe.name, "round_trip.worst", worst_K, "K");
  return worst_K <= probe.allowed_K;
}

/// The approximate inverse over its own range, against the reference function.
bool run_inverse(const InversePolynomial& polynomial, int conversions) {
  constexpr double rounded_K = 0.005;  // of the errors as they are published
  const std::string name = fmt::format(
      "inverse_polynomial.{}.{:+.0f}_to_{:+.0f}_uV", thermocouple_letter(polynomial.type),
      polynomial.lowest / polynomial.per_uV, polynomial.highest / polynomial.per_uV);
  std::vector<double> emf_uV;
  double worst_K = 0.0;
  for (int i = 0; i < values_per_pass; ++i) {
    const double part = i / (values_per_pass - 1.0);
    emf_uV.push_back((polynomial.lowest + (polynomial.highest - polynomial.lowest) * part) /
                     polynomial.per_uV);
    // The limits are rounded to 1 uV, so that the last of them may lie beyond the range.
    const auto exact = drivers::thermocouple_degC(polynomial.type, emf_uV.back());
    if (exact) {
      worst_K = std::max(worst_K, std::fabs(inverse_degC(polynomial, emf_uV.back()) - *exact));
    }
  }
  const auto convert = [&](double emf) { return inverse_degC(polynomial, emf); };
  print(name, "to_degC", ns_each(emf_uV, conversions, convert), "ns");
  print(name, "worst", worst_K, "K");
  print(name, "published_worst", polynomial.published_K, "K");
  return worst_K <= polynomial.published_K + rounded_K;
}

int run(int conversions) {
  int failures = 0;
  for (const Probe& probe : probes()) failures += run_probe(probe, conversions) ? 0 : 1;
  for (const InversePolynomial& polynomial : inverse_polynomials()) {
    failures += run_inverse(polynomial, conversions) ? 0 : 1;
  }
  if (failures > 0) fmt::print(stderr, "bench_convert: {} figures worse than stated\n", failures);
  return failures > 0 ? 1 : 0;
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  return nestcup::bench::run(argc > 1 ? std::atoi(argv[1]) : 1'000'000);
}
