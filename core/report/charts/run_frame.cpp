#include "core/report/charts/run_frame.hpp"

namespace nestcup {

RunFrame::RunFrame(const PageBox& plot, Range time, Range temperature, double head_room,
                   double foot_room)
    : plot_(plot), time_{time, plot.left, plot.right()} {
  const double K_per_pt = temperature.size() / (plot.height - head_room - foot_room);
  temperature_ = {{temperature.low - foot_room * K_per_pt, temperature.high + head_room * K_per_pt},
                  plot.bottom(),
                  plot.top};
}

std::vector<PagePoint> RunFrame::places(std::span<const ChartPoint> points) const {
  std::vector<PagePoint> found;
  found.reserve(points.size());
  for (const ChartPoint& point : points) {
    found.push_back({x(point.time_s), y(point.temperature_degC)});
  }
  return found;
}

}  // namespace nestcup
