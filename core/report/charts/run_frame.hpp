// The plot's place on the page, and the way from the run's axes to it.
#pragma once

#include <span>
#include <vector>

#include "core/report/charts/run_data.hpp"
#include "core/report/drawing/axis.hpp"

namespace nestcup {

/// The plot with its two linear scales.
class RunFrame {
 public:
  /// @param plot         the box between the axes
  /// @param time         s, over the whole width
  /// @param temperature  degC, over the height less the head room and the foot room
  /// @param head_room    pt kept free above the highest temperature
  /// @param foot_room    pt kept free below the lowest
  RunFrame(const PageBox& plot, Range time, Range temperature, double head_room, double foot_room);

  [[nodiscard]] const PageBox& plot() const { return plot_; }
  [[nodiscard]] const LinearScale& time() const { return time_; }
  /// Holds all temperatures that the box shows, rooms included, degC.
  [[nodiscard]] const LinearScale& temperature() const { return temperature_; }

  [[nodiscard]] double x(double time_s) const { return time_.at(time_s); }
  [[nodiscard]] double y(double temperature_degC) const {
    return temperature_.at(temperature_degC);
  }
  [[nodiscard]] std::vector<PagePoint> places(std::span<const ChartPoint> points) const;

 private:
  PageBox plot_;
  LinearScale time_;
  LinearScale temperature_;
};

}  // namespace nestcup
