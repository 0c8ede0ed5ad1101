// A store and the places that its runs were carried to, checked as a whole.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/notebook/place_chain.hpp"
#include "core/notebook/verify.hpp"

namespace nestcup {

/// What is to be checked.
struct VerifyTask {
  const Store* store = nullptr;  ///< nothing: places alone
  std::vector<std::string> places;
  /// Places that are notebooks of the store's bench: their names in the outbox, by path.
  std::map<std::string, std::string> notebooks{};
  std::function<Result<KeptPlace>(const std::string&)> open = KeptPlace::open;
  std::function<void(const RunVerdict&)> take = [](const RunVerdict&) {};
  /// Called behind each run.
  std::function<void(int done, int total)> progress = [](int, int) {};
};

struct Verification {
  std::vector<PlaceChain> chains;
  std::vector<std::string> problems;  ///< what could not be read, with its place
  int well = 0;                       ///< runs
  int wrong = 0;                      ///< runs, chains and places
};

/// Checks every run and every chain. Each run's verdict is handed to `take` as it comes.
/// @errors of the store; no_input: a place that is not there (one of `notebooks` is a problem
///         instead); as KeptPlace::open
[[nodiscard]] Result<Verification> verify_all(const VerifyTask& task);

}  // namespace nestcup
