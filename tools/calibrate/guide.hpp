// Leads a person through the points of a calibration, and measures them.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/bench_file.hpp"
#include "tools/calibrate/probe_talk.hpp"
#include "tools/calibrate/request.hpp"
#include "tools/cli/streams.hpp"

namespace nestcup {

/// A point with what the probe showed at it.
struct MeasuredPoint {
  PlannedPoint planned;
  SteadyMean shown;
};

/// What to do for a point, and what to beware of.
[[nodiscard]] std::string instruction(const PlannedPoint& point, const std::string& probe);

/// A question on the error stream and the line that answers it.
/// @errors usage: standard input has ended
[[nodiscard]] Result<std::string> asked(cli::Streams& streams, const std::string& question);

/// Says one line to the person who waits.
[[nodiscard]] ProbeTalk::Say sayer(cli::Streams& streams);

/// Measures the points that the request plans; where it plans none, asks for one after the other.
/// @errors as ProbeTalk; usage: no answer where one is needed
[[nodiscard]] Result<std::vector<MeasuredPoint>> measure_points(const BenchFile& bench,
                                                                const CalibrateRequest& request,
                                                                cli::Streams& streams);

/// Two probes in one vessel: what both showed, and the mean of their difference reading by reading.
struct ComparedProbes {
  SteadyMean probe, other, difference;
};
[[nodiscard]] Result<ComparedProbes> compare_probes(const BenchFile& bench,
                                                    const CalibrateRequest& request,
                                                    const std::string& other,
                                                    cli::Streams& streams);

/// The readings of a plunge: from before the probe was moved until it is steady again.
[[nodiscard]] Result<Curve> watch_plunge(const BenchFile& bench, const CalibrateRequest& request,
                                         cli::Streams& streams);

}  // namespace nestcup
