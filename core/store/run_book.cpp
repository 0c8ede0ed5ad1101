#include "core/store/run_book.hpp"

namespace nestcup {

Result<void> RunBook::each_run(const std::function<Result<void>(const StoredRun&)>& take) const {
  const auto all = runs();
  if (!all) return all.error();
  for (const StoredRun& run : *all) {
    if (auto taken = take(run); !taken) return taken;
  }
  return {};
}

}  // namespace nestcup
