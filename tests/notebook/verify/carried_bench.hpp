// A bench of three simulated runs, in its store and carried to a notebook that is a folder.
#pragma once

#include <filesystem>
#include <functional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "core/notebook/carrier.hpp"
#include "core/notebook/verify_all.hpp"
#include "core/store/store.hpp"
#include "tests/notebook/temporary_folder.hpp"

namespace nestcup::testing {

/// The value of a Result; the test fails with the error's text where there is none.
template <class T>
T taken(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}
inline void taken(const Result<void>& result) {
  if (!result) throw std::runtime_error(result.error().text);
}

inline constexpr const char* usual_bench = "bench-4";

/// A fresh copy each time; the first takes a second or two. Run 2 was struck out and restored, so
/// that the chain has five links: runs 1 2 3 2 2.
class CarriedBench {
 public:
  explicit CarriedBench(const std::string& name = usual_bench);

  [[nodiscard]] std::string store_path() const { return folder_.at("bench.db"); }
  [[nodiscard]] std::string notebook() const { return folder_.at("notebook"); }
  [[nodiscard]] std::string at(const std::string& name) const { return folder_.at(name); }
  /// The bench file that names the two.
  [[nodiscard]] std::string bench_file() const { return folder_.at("bench.toml"); }
  [[nodiscard]] Store store(StoreMode mode = StoreMode::read) const;
  /// The folder of a run in the notebook.
  [[nodiscard]] std::string run_folder(int number) const;
  /// The file that keeps the chain's end.
  [[nodiscard]] std::string head_file() const;
  /// Carries what a store owes to the notebook; without a path the bench's own.
  [[nodiscard]] CarryCount carry(const std::string& store_path = "") const;
  /// Changes the store behind the program's back; throws where SQLite does not take it.
  void sql(const std::string& statements) const;
  /// Changes a file's text: the first `from` becomes `to`; throws where there is none.
  static void change(const std::string& path, const std::string& from, const std::string& to);

  /// Everything as `nestcup verify --bench` looks at it.
  /// @param store_path  instead of the bench's own
  [[nodiscard]] Verification verify(std::vector<RunVerdict>* runs = nullptr,
                                    const std::string& store_path = "") const;

 private:
  TemporaryFolder folder_;
};

/// All texts of what was found wrong, each on a line behind its code.
[[nodiscard]] std::string faults_text(const Verification& found,
                                      const std::vector<RunVerdict>& runs);

}  // namespace nestcup::testing
