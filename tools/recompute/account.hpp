// What recompute says of the runs: what moved, and by how much.
#pragma once

#include <optional>
#include <string>

#include "core/record/recompute.hpp"
#include "tools/cli/streams.hpp"

namespace nestcup {

/// By how much a corrected rise moved.
struct RiseMove {
  double move_K = 0.0;             ///< new less old
  std::optional<double> move_u{};  ///< the same in standard uncertainties that it had before
};

/// Nothing where nothing changed, or where there was or is no rise.
[[nodiscard]] std::optional<RiseMove> rise_move(const Recomputed& made);

/// What came of the runs, for people or for scripts.
class RecomputeAccount {
 public:
  RecomputeAccount(bool is_json, bool dry_run, cli::Streams& streams)
      : is_json_(is_json), dry_run_(dry_run), streams_(streams) {}

  void take(const Recomputed& made);
  /// The last line, or all of the JSON.
  void close() const;

 private:
  /// The largest move, either way, and whose it was.
  struct Largest {
    double size = -1.0;
    int run = 0;
    void take(double move, int number);
  };
  [[nodiscard]] Json summary_json() const;
  [[nodiscard]] std::string summary_text() const;

  bool is_json_;
  bool dry_run_;
  cli::Streams& streams_;
  int runs_ = 0;
  int changed_ = 0;
  int lost_ = 0;   ///< rises that are not there any more
  int found_ = 0;  ///< rises that were not there before
  Largest largest_K_;
  Largest largest_u_;
  Json list_ = Json::array();
};

}  // namespace nestcup
