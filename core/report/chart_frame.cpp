#include "core/report/chart_frame.hpp"

namespace nestcup {

ChartFrame::ChartFrame(const PageBox& plot, Range time, Range temperature, double head_room,
                       double foot_room)
    : plot_(plot), time_(time) {
  const double K_per_pt = temperature.size() / (plot.height - head_room - foot_room);
  temperature_ = {temperature.low - foot_room * K_per_pt, temperature.high + head_room * K_per_pt};
}

double ChartFrame::x(double time_s) const {
  return plot_.left + (time_s - time_.low) / time_.size() * plot_.width;
}

double ChartFrame::y(double temperature_degC) const {
  return plot_.bottom() -
         (temperature_degC - temperature_.low) / temperature_.size() * plot_.height;
}

std::vector<PagePoint> ChartFrame::places(std::span<const ChartPoint> points) const {
  std::vector<PagePoint> found;
  found.reserve(points.size());
  for (const ChartPoint& point : points) {
    found.push_back({x(point.time_s), y(point.temperature_degC)});
  }
  return found;
}

}  // namespace nestcup
