// The plot's place on the page, and the way from the run's axes to it.
#pragma once

#include <span>
#include <vector>

#include "core/report/canvas.hpp"
#include "core/report/chart_data.hpp"

namespace nestcup {

/// Size of every chart, pt: wide enough for a page's text column.
inline constexpr double page_width = 760.0;
inline constexpr double page_height = 480.0;

/// The plot with its two linear scales.
class ChartFrame {
 public:
  /// @param plot         the box between the axes
  /// @param time         s, over the whole width
  /// @param temperature  degC, over the height less the head room and the foot room
  /// @param head_room    pt kept free above the highest temperature
  /// @param foot_room    pt kept free below the lowest
  ChartFrame(const PageBox& plot, Range time, Range temperature, double head_room,
             double foot_room);

  [[nodiscard]] const PageBox& plot() const { return plot_; }
  [[nodiscard]] const Range& time() const { return time_; }
  /// All temperatures that the box shows, rooms included, degC.
  [[nodiscard]] const Range& temperature() const { return temperature_; }

  [[nodiscard]] double x(double time_s) const;
  [[nodiscard]] double y(double temperature_degC) const;
  [[nodiscard]] std::vector<PagePoint> places(std::span<const ChartPoint> points) const;

 private:
  PageBox plot_;
  Range time_;
  Range temperature_;
};

}  // namespace nestcup
