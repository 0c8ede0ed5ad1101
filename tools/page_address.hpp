// Where a browser finds a bench's page.
#pragma once

#include <string>
#include <vector>

#include "core/sheet/bench_file.hpp"

namespace nestcup {

/// The addresses of a bench's page: by its first name in [page], else as `listen` has it. Where it
/// listens on every address (0.0.0.0, [::]), which no browser can go to, those that this machine
/// has now, but for loopback; loopback where there is no other.
/// @return URLs without a path, the first one to be recommended; none where there is no page
[[nodiscard]] std::vector<std::string> page_addresses(const BenchFile& bench);

}  // namespace nestcup
