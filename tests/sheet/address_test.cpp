#include "core/sheet/address.hpp"

#include "tests/catch.hpp"

using nestcup::authority_of;
using nestcup::is_host_and_port;
using nestcup::is_host_name;
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

TEST_CASE("a name that a Host field may have") {
  const std::string label(63, 'a');
  const std::string longest = label + "." + label + "." + label + "." + std::string(61, 'a');
  for (const std::string& host :
       {std::string("lab"), std::string("bench-4.lab.example"), std::string("LAB.example:8443"),
        std::string("192.168.1.7"), std::string("192.168.1.7:443"), std::string("[fd00::7]"),
        std::string("[fd00::7]:443"), std::string("xn--msslab-bua.example"), longest}) {
    INFO(host);
    CHECK(is_host_name(host));
  }
  for (const std::string& host : {std::string(""),
                                  std::string("."),
                                  std::string("lab."),
                                  std::string(".lab"),
                                  std::string("a..b"),
                                  std::string("-a.b"),
                                  std::string("a-.b"),
                                  std::string("*.lab.example"),
                                  std::string("https://lab.example"),
                                  std::string("lab.example/"),
                                  std::string("lab:"),
                                  std::string("lab:0"),
                                  std::string("lab:65536"),
                                  std::string("lab:08"),
                                  std::string("a:b:1"),
                                  std::string("l ab"),
                                  std::string("m\xc3\xbcller.example"),
                                  std::string("a_b"),
                                  std::string("fd00::7"),
                                  std::string("[fd00::7"),
                                  std::string("[]"),
                                  std::string("[x]:1"),
                                  std::string("me@lab"),
                                  label + "a",
                                  longest + "a"}) {
    INFO(host);
    CHECK_FALSE(is_host_name(host));
  }
  CHECK(is_host_and_port("lab:8443"));
  CHECK_FALSE(is_host_and_port("lab"));
  CHECK_FALSE(is_host_and_port("[fd00::7]"));
}
