// What every notebook can do. A notebook is where finished runs are kept beyond the bench's store;
// the outbox (core/store/outbox.hpp) says what it has still to get, the carrier brings it there.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/month_index.hpp"
#include "core/notebook/run_entry.hpp"
#include "core/sheet/bench_file.hpp"

namespace nestcup {

/// How a revision arrived.
struct Arrival {
  bool was_there = false;            ///< whole and the same, from an earlier attempt
  std::vector<std::string> remarks;  ///< what its owner should know, such as pages left as they are
};

/// Calls come from one thread. Errors of kind bad_data will be the same again; all others may pass.
class Notebook {
 public:
  Notebook() = default;
  Notebook(const Notebook&) = delete;
  Notebook& operator=(const Notebook&) = delete;
  virtual ~Notebook() = default;

  /// As the outbox calls it: "folder /home/bench/notebook".
  [[nodiscard]] virtual const std::string& name() const = 0;
  /// Whether entries are to have charts, which take most of the time of making one.
  [[nodiscard]] virtual bool wants_charts() const = 0;
  /// Before a pass: looks whether the notebook is there, and tidies up what an earlier pass that
  /// was cut off left behind.
  /// @param has_runs  whether it has been brought any, so that it must be there
  [[nodiscard]] virtual Result<void> begin(bool has_runs) = 0;
  /// Brings a revision. Whole or not at all; harmless if it is there already.
  /// @errors bad_data: something else is in its place
  [[nodiscard]] virtual Result<Arrival> bring(const RunEntry& entry) = 0;
  /// The kept end of the store's chain; no book where the notebook keeps none yet.
  /// @param bench  the bench's name by its newest record: where to look first
  [[nodiscard]] virtual Result<KeptHead> head(const std::string& book,
                                              const std::string& bench) = 0;
  /// Keeps where the chain ends now.
  [[nodiscard]] virtual Result<void> keep_head(const KeptHead& head) = 0;
  /// Brings the index of one month of a bench up to date.
  /// @return what its owner should know
  /// @errors also of `news.all`
  [[nodiscard]] virtual Result<std::vector<std::string>> keep_index(const KeptHead& head,
                                                                    const IndexNews& news) = 0;
  /// How long it wants to be left alone at least after what failed last, s.
  [[nodiscard]] virtual double wanted_pause_s() const { return 0.0; }
};

/// As the outbox calls the notebook with these settings.
[[nodiscard]] std::string notebook_name(const NotebookSettings& settings);

/// @param mark  tells files under way of this store from others' (the end of its chain's id)
/// @param go_on  asked while a notebook beyond this machine is waited for; false ends that
/// @errors bad_configuration: a kind that this program cannot carry to, no password where one is
///         named
[[nodiscard]] Result<std::unique_ptr<Notebook>> open_notebook(
    const NotebookSettings& settings, const std::string& mark,
    std::function<bool()> go_on = [] { return true; });

/// Name of the file beside the runs' folders that keeps where the chain ends.
[[nodiscard]] std::string head_file_name(const KeptHead& head);

/// The kept head as a file, and back.
[[nodiscard]] std::string head_text(const KeptHead& head);
/// @errors bad_data
[[nodiscard]] Result<KeptHead> parse_head(const std::string& text, const std::string& name);

}  // namespace nestcup
