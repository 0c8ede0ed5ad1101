// How the daemon comes to the store that it writes: at its start, later where the disk was full at
// the start, and in place of a store that turns out damaged.
#pragma once

#include <chrono>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "core/sheet/bench_file.hpp"
#include "core/store/store.hpp"
#include "daemon/store/store_past.hpp"

namespace nestcup::daemon {

class BenchStore {
 public:
  using Log = std::function<void(std::string_view)>;
  /// What the bench holds in memory and a new store must know.
  struct Held {
    std::vector<StoredCalibration> calibrations;
    bool results_hidden = false;
  };

  BenchStore(const BenchFile& file, Log log);

  /// Takes the lock, opens the store and reads what it knows. A damaged store is set aside and a
  /// new one begun with what can still be read of it, where the file is a bench's own: one that
  /// never had a lock beside it and is no store is left alone. On a full disk there is no store
  /// yet, but what it knows.
  /// @errors try_later: another process writes the store; as Store::open
  [[nodiscard]] Result<Past> open();
  /// The store that open() has opened; nothing on a full disk.
  [[nodiscard]] std::optional<Store> take() { return std::exchange(opened_, std::nullopt); }

  /// The anchor of this start goes into the store, and into each that is opened later.
  [[nodiscard]] Result<void> begin_session(const StoredSession& session);
  /// From here on this is asked, on the writer's thread, in place of what the start has read.
  void ask(std::function<Held()> held);
  /// Recorder::Opener.
  [[nodiscard]] Result<Store> open_again(const std::string& damage);

 private:
  using Steady = std::chrono::steady_clock;

  [[nodiscard]] Result<void> check_is_own() const;
  [[nodiscard]] Result<Past> open_and_read();
  [[nodiscard]] Result<Store> opened_as_it_is() const;
  [[nodiscard]] Result<Past> read_only(const Error& failure);
  [[nodiscard]] Result<Store> begun_anew(const std::string& damage, const Past& past);
  [[nodiscard]] Result<void> make_replacement(const std::string& path, const std::string& damage,
                                              const Past& past) const;
  /// What can be read of the damaged store, and what the bench holds.
  [[nodiscard]] Past known_past();

  const BenchFile& file_;
  Log log_;
  std::optional<StoreLock> lock_;
  std::optional<Store> opened_;
  std::optional<StoredSession> session_;
  std::optional<Steady::time_point> began_anew_;
  std::mutex mutex_;
  std::function<Held()> held_;
};

}  // namespace nestcup::daemon
