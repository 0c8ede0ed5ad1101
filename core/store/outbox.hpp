// The outbox: which revisions of a store's runs are owed to which notebooks. Rows come into being
// with the revision, in its transaction (Store::add_run, Store::add_revision), and are never
// deleted: carried ones say when.
#pragma once

#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/store/store.hpp"

namespace nestcup {

class Statement;

/// A revision on its way to a notebook.
struct OwedRevision {
  std::string notebook;  ///< its name
  int link = 0;          ///< place in the store's chain; they are carried in this order
  int run_number = 0;
  std::string run_id;
  int revision = 0;
  bool blocked = false;    ///< no further attempt is made until a person asks for it
  TimeUs since_us = 0;     ///< owed since; Unix time, as all here
  int attempts = 0;        ///< that failed
  TimeUs next_try_us = 0;  ///< not before
  std::string reason;      ///< why the last attempt failed; empty where there was none
};

/// What a notebook has and is owed.
struct NotebookCount {
  std::string notebook;
  bool in_use = true;  ///< whether the bench still names it
  int carried = 0;
  int owed = 0;  ///< blocked ones not counted
  int blocked = 0;
};

/// How an attempt ended that was not successful.
struct FailedAttempt {
  std::string reason;
  bool blocked = false;    ///< it would fail again: wait for a person
  TimeUs next_try_us = 0;  ///< Unix time
};

/// What is owed, to be looked at. A store of an older version that is open for reading knows no
/// notebooks.
class OutboxView {
 public:
  explicit OutboxView(const Store& store) : store_(store) {}

  /// What is owed to a notebook, blocked or not, in the chain's order: at most `limit` of those
  /// behind the link `after`.
  [[nodiscard]] Result<std::vector<OwedRevision>> owed(const std::string& notebook, int after,
                                                       int limit) const;
  /// The last link that the notebook has got; 0 where it has none.
  [[nodiscard]] Result<int> last_carried(const std::string& notebook) const;
  /// How much is owed to the notebook and not blocked.
  [[nodiscard]] Result<int> waiting(const std::string& notebook) const;
  /// Whether it has got any revision of the run.
  [[nodiscard]] Result<bool> has_run(const std::string& notebook, int run_number) const;
  /// All notebooks that the store knows, in the order in which they came.
  [[nodiscard]] Result<std::vector<NotebookCount>> counts() const;

 protected:
  const Store& store_;
};

class Outbox : public OutboxView {
 public:
  explicit Outbox(Store& store) : OutboxView(store) {}

  /// The notebooks in use from now on, by name. One that is new, or comes back, is owed every
  /// revision that it has not got; one that is not named keeps what it is owed and gets no more.
  [[nodiscard]] Result<void> use_notebooks(std::span<const std::string> names, TimeUs wall_us);
  /// The revision is in the notebook. Repeating it changes nothing.
  [[nodiscard]] Result<void> carried(const OwedRevision& revision, TimeUs wall_us);
  /// An attempt failed.
  [[nodiscard]] Result<void> failed(const OwedRevision& revision, const FailedAttempt& attempt);
  /// What is owed to a notebook, blocked or waiting, may be tried now. @return how many that are
  [[nodiscard]] Result<int> try_again(const std::string& notebook);

 private:
  [[nodiscard]] Result<int> change(std::string_view sql,
                                   const std::function<void(Statement&)>& bind);
};

}  // namespace nestcup
