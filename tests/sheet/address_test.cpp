#include "core/sheet/address.hpp"

#include <catch2/catch_test_macros.hpp>

using nestcup::authority_of;
using nestcup::is_loopback;

TEST_CASE("the part of an address that says where it leads") {
  // The examples of RFC 3986, section 1.1.2 and 3.
  CHECK(authority_of("http://www.ietf.org/rfc/rfc2396.txt") == "www.ietf.org");
  CHECK(authority_of("ldap://[2001:db8::7]/c=GB?objectClass?one") == "[2001:db8::7]");
  CHECK(authority_of("foo://example.com:8042/over/there?name=ferret#nose") == "example.com:8042");
  CHECK(authority_of("mailto:John.Doe@example.com").empty());
}

TEST_CASE("this machine is told from names that look like it") {
  // RFC 1122, section 3.2.1.3 (g): 127.0.0.0/8; RFC 4291, section 2.5.3: ::1.
  for (const char* const own : {"localhost", "localhost:80", "127.0.0.1", "127.0.0.1:8080",
                                "127.255.3.4:1", "[::1]", "[::1]:8080"}) {
    INFO(own);
    CHECK(is_loopback(own));
  }
  for (const char* const other :
       {"", "127.example", "127.0.0.1.example:80", "127.1", "128.0.0.1", "10.127.0.1", "[::2]:80",
        "[::1].example", "localhost.example", "notlocalhost:80", "127."}) {
    INFO(other);
    CHECK_FALSE(is_loopback(other));
  }
}
