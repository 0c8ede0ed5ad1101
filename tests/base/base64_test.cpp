#include "core/base/base64.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("Base 64 has the test vectors of RFC 4648, section 10") {
  CHECK(base64_text("").empty());
  CHECK(base64_text("f") == "Zg==");
  CHECK(base64_text("fo") == "Zm8=");
  CHECK(base64_text("foo") == "Zm9v");
  CHECK(base64_text("foob") == "Zm9vYg==");
  CHECK(base64_text("fooba") == "Zm9vYmE=");
  CHECK(base64_text("foobar") == "Zm9vYmFy");
}
