// What the tests of the store share: a folder of their own, and small stores in it.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "core/store/store.hpp"

namespace nestcup::testing {

/// A new folder that goes away with its contents.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    path_ = (std::filesystem::temp_directory_path() / "nestcup_store_XXXXXX").string();
    if (mkdtemp(path_.data()) == nullptr) throw std::runtime_error("no temporary folder");
  }
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string file(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

inline std::string bytes_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

inline void write_bytes(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

inline std::vector<StoredProbe> two_probes() {
  return {{"cup", ProbeRole::cup, "degC", R"({"tolerance_K":0.2})"},
          {"room", ProbeRole::room, "degF", "{}"}};
}

/// The value of a Result; the test fails with the error's text where there is none.
template <class T>
T take(Result<T> result) {
  if (!result.ok()) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

inline void take(const Result<void>& result) {
  if (!result.ok()) throw std::runtime_error(result.error().text);
}

/// A store opened for writing with two_probes registered.
inline Store writer_at(const std::string& path) {
  Store store = take(Store::open(path, StoreMode::write));
  take(store.register_probes(two_probes()));
  return store;
}

/// `count` readings of the cup from number `first` on, one each 10 ms, with telling values.
inline std::vector<Reading> numbered_readings(int first, int count) {
  std::vector<Reading> readings;
  for (int i = first; i < first + count; ++i) {
    readings.push_back(
        {0, TimeUs{1'790'000'000'000'000} + i * TimeUs{10'000}, 20.0 + i * 1e-4, 20.0 + i * 1e-4});
  }
  return readings;
}

/// All readings of a store.
inline std::vector<Reading> all_readings(const Store& store) {
  return take(store.readings(0, TimeUs{4'000'000'000'000'000}));
}

}  // namespace nestcup::testing
