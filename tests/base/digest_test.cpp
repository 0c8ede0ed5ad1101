#include "core/base/digest.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("SHA-256: the examples published with FIPS 180-4") {
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

TEST_CASE("SHA-256 of nothing, and of bytes that are no text") {
  CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(sha256_hex(std::string_view("\0", 1)) ==
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d");
}
