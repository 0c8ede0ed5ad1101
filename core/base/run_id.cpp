#include "core/base/run_id.hpp"

#include <openssl/rand.h>

#include <array>
#include <cstdlib>

#include "core/base/time_text.hpp"

namespace nestcup {

std::string new_run_id(TimeUs wall_us) {
  std::array<std::uint8_t, 10> random{};
  // Without random bytes two runs could get one id; OpenSSL fails here only on a broken system.
  if (RAND_bytes(random.data(), static_cast<int>(random.size())) != 1) std::abort();
  return uuid_v7(static_cast<std::uint64_t>(wall_us / 1000), random);
}

}  // namespace nestcup
