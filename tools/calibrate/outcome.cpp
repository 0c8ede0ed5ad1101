#include "tools/calibrate/outcome.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/time_text.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/record/calibration_json.hpp"
#include "tools/cli/output.hpp"

namespace nestcup {
namespace {

using Kind = StoredCalibration::Kind;

std::string value_text(const StoredCalibration& row) {
  const Calibration& c = row.calibration;
  switch (row.kind) {
    case Kind::correction:
      return fmt::format(
          "{:+.4f} K at {:.2f} {}{}, u {:.1f} mK", c.offset_K, c.reference_degC, unit_degC,
          c.kind == CalibrationKind::line ? fmt::format(", {:+.5f} per K", c.slope) : "",
          1e3 * c.u_offset_K);
    case Kind::none:
      return "read as it is";
    case Kind::again:
      return fmt::format("number {} taken again", row.again.value_or(0));
    case Kind::difference:
      return uncertain_text(row.value, "K") + " against " + row.other.value_or("?");
    case Kind::time_constant:
      return uncertain_text(row.value, "s");
  }
  return "";
}

}  // namespace

std::string correction_text(const Calibration& c) {
  std::string text = fmt::format("temperature = reading {:+.4f} K", c.offset_K);
  if (c.kind == CalibrationKind::line) {
    text += fmt::format(" {:+.6f} (reading - {:.3f} {})", c.slope, c.reference_degC, unit_degC);
  }
  text += "\nstandard uncertainty:";
  for (const double degC : {0.0, 20.0, 40.0, 60.0}) {
    text += fmt::format(" {:.1f} mK at {:.0f} {},", 1e3 * c.u_at_K(degC), degC, unit_degC);
  }
  text += c.u_slope > 0.0
              ? fmt::format(" and of a rise of 10 K {:.1f} mK\n", 1e3 * c.u_difference_K(10.0))
              : " and of a rise not known: one temperature tells nothing of the scale\n";
  return text;
}

std::string fit_text(const std::vector<MeasuredPoint>& points, const Json& answer, bool colour) {
  cli::Table table({{"point"},
                    {"should be", cli::Align::right},
                    {"u / mK", cli::Align::right},
                    {"shown", cli::Align::right},
                    {"u / mK", cli::Align::right},
                    {"residual / mK", cli::Align::right}});
  const Json& fit = answer.at("fit");
  for (std::size_t i = 0; i < points.size(); ++i) {
    const MeasuredPoint& point = points[i];
    table.add_row({point_name(point.planned.kind), fmt::format("{:.4f}", point.planned.true_degC),
                   fmt::format("{:.1f}", 1e3 * point.planned.u_K),
                   fmt::format("{:.4f}", point.shown.mean_degC),
                   fmt::format("{:.1f}", 1e3 * point.shown.u_K),
                   fmt::format("{:+.1f}", 1e3 * fit.at("residuals_K").at(i).get<double>())});
  }
  std::string text = table.text(colour);
  const Json& stored = answer.at("stored").at(0);
  if (const auto calibration = calibration_in(Json{{"calibration", stored}})) {
    text += correction_text(*calibration);
  }
  if (fit.at("surplus").get<double>() > 2.0) {
    text += fmt::format(
        "the points scatter {:.1f} times as much as their uncertainties say; "
        "these were enlarged\n",
        fit.at("surplus").get<double>());
  }
  return text + fmt::format("calibration {} of probe {} is stored and holds from now on\n",
                            stored.at("number").get<int>(), stored.at("probe").get<std::string>());
}

std::string list_text(const std::vector<StoredCalibration>& rows, bool colour) {
  cli::Table table({{"number", cli::Align::right},
                    {"probe"},
                    {"at"},
                    {"kind"},
                    {"what"},
                    {"holds"},
                    {"by"},
                    {"note"}});
  for (const StoredCalibration& row : rows) {
    const HeldCalibration held = held_after(rows, row.probe);
    const bool holds = (held.correction && held.correction->number == row.number) ||
                       (held.time_constant && held.time_constant->number == row.number);
    table.add_row({std::to_string(row.number), row.probe, rfc3339(row.wall_us),
                   stored_calibration_json(row).at("kind").get<std::string>(), value_text(row),
                   holds ? "yes" : "", row.who, row.note});
  }
  return table.text(colour);
}

}  // namespace nestcup
