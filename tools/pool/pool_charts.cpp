#include "tools/pool/pool_charts.hpp"

#include <fmt/format.h>

#include <cctype>

#include "core/classroom/class_figure.hpp"
#include "core/report/charts/class_chart.hpp"
#include "core/report/drawing/chart_page.hpp"

namespace nestcup::pooled {
namespace {

constexpr std::size_t least_benches = 2;

ClassChart chart_of(const ClassFigure& figure, bool nameless) {
  ClassChart chart;
  chart.title = figure.title;
  chart.quantity = figure.quantity;
  chart.unit = figure.unit;
  for (const ClassFigureBench& bench : figure.benches) {
    chart.benches.push_back(
        {nameless ? "" : bench.name, bench.value, bench.u, bench.runs, bench.outlying});
  }
  chart.robust_mean = figure.robust_mean.value_or(figure.median);
  chart.robust_sd = figure.robust_sd.value_or(0.0);
  chart.median = figure.median;
  if (figure.accepted) {
    chart.accepted = Uncertain{*figure.accepted, figure.u_accepted.value_or(0.0), std::nullopt};
  }
  return chart;
}

/// The quantity as part of a file's name.
std::string file_part(const std::string& quantity) {
  std::string name;
  for (const char c : quantity) {
    const bool plain = std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' || c == '.';
    if (plain) {
      name += c;
    } else if (!name.empty() && name.back() != ' ') {
      name += ' ';
    }
  }
  return name;
}

}  // namespace

Result<std::vector<std::string>> write_charts(std::span<const ClassResult> results,
                                              const PoolContext& context,
                                              const std::filesystem::path& folder) {
  std::error_code code;
  std::filesystem::create_directories(folder, code);
  if (code) {
    return Error{Fault::cannot_create, folder.string() + ": cannot be made: " + code.message()};
  }
  std::vector<std::string> written;
  for (const ClassResult& result : results) {
    for (const ClassFigure& figure : class_figures(result)) {
      if (figure.benches.size() < least_benches) continue;
      const auto path =
          folder / fmt::format("{:02} {}.svg", written.size() + 1, file_part(figure.quantity));
      if (std::filesystem::exists(path)) {
        return Error{Fault::cannot_create, path.string() + ": is there already; name a new folder"};
      }
      if (auto drawn = write_chart_svg(chart_of(figure, context.nameless), path); !drawn) {
        return drawn.error();
      }
      written.push_back(path.string());
    }
  }
  return written;
}

}  // namespace nestcup::pooled
