// A folder, a store and a patient question, for the tests of the daemon's parts.
#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <string>
#include <thread>

#include "core/base/clock.hpp"
#include "core/store/store.hpp"

namespace nestcup::test {

/// A folder that goes with the object.
class Folder {
 public:
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "nestcup-daemon-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = name;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] std::string path(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

/// Waits until it becomes true; false where it does not within a time that is ample for any
/// machine.
[[nodiscard]] inline bool becomes_true(const std::function<bool()>& question) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(30);
  while (!question()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return true;
}

/// A clock of which a test says how fast it runs; its now is the machine's steady clock.
class FixedSpeed final : public Clock {
 public:
  explicit FixedSpeed(double speed) : speed_(speed) {}
  [[nodiscard]] TimeUs now_us() const override {
    const auto since = std::chrono::steady_clock::now().time_since_epoch();
    return to_us(std::chrono::duration<double>(since).count() * speed_);
  }
  [[nodiscard]] TimeUs wall_us() const override { return now_us(); }
  [[nodiscard]] std::optional<bool> synchronised() const override { return std::nullopt; }
  [[nodiscard]] std::chrono::nanoseconds real_duration(TimeUs bench_us) const override {
    return std::chrono::nanoseconds(static_cast<std::int64_t>(bench_us * 1e3 / speed_));
  }

 private:
  double speed_;
};

}  // namespace nestcup::test
