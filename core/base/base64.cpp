#include "core/base/base64.hpp"

#include <openssl/evp.h>

#include <vector>

namespace nestcup {

std::string base64_text(std::string_view bytes) {
  // Four letters for each three bytes begun, and the zero that OpenSSL puts behind them.
  std::vector<unsigned char> letters((bytes.size() + 2) / 3 * 4 + 1);
  const int length =
      EVP_EncodeBlock(letters.data(), reinterpret_cast<const unsigned char*>(bytes.data()),
                      static_cast<int>(bytes.size()));
  return {letters.begin(), letters.begin() + length};
}

}  // namespace nestcup
