// The parts of a WebDAV notebook that need no server. tests/notebook/webdav has the servers.
#include "core/notebook/webdav/dav_server.hpp"
#include "core/notebook/webdav/refusal.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("addresses are encoded as RFC 3986 has it, and read back") {
  const DavUrl url("https://notes.example/lab");
  CHECK(url.at("") == "https://notes.example/lab/");
  CHECK(url.at("2026-11-25 S\xC3\xA4ure/run.json") ==
        "https://notes.example/lab/2026-11-25%20S%C3%A4ure/run.json");
  CHECK(url.at("50%+#?;a") == "https://notes.example/lab/50%25%2B%23%3F%3Ba");
  CHECK(DavUrl("https://notes.example/lab/").at("a") == "https://notes.example/lab/a");
  CHECK(DavUrl("https://notes.example/\xC3\x9C 1%20(a)").at("b c") ==
        "https://notes.example/%C3%9C%201%20(a)/b%20c");
  // Section 2.3: the unreserved characters, which stay.
  CHECK(url_encoded("AZaz09-._~") == "AZaz09-._~");
  CHECK(url_decoded("a%20b%2Fc") == "a b/c");
  CHECK(url_decoded("50%") == "50%");
  CHECK(url_decoded("%zz%4") == "%zz%4");
  std::string all;
  for (int i = 1; i < 256; ++i) all += static_cast<char>(i);
  CHECK(url_decoded(url_encoded(all)) == all);
  CHECK(*collection_above("https://notes.example/a/b/") == "https://notes.example/a/");
  CHECK(*collection_above("https://notes.example/a") == "https://notes.example/");
  CHECK_FALSE(collection_above("https://notes.example/"));
}

TEST_CASE("a listing is read as RFC 4918 shows one") {
  // Section 9.1.5 of the RFC (PROPFIND of a collection, Depth: 1), with the properties asked for.
  const std::string xml = R"(<?xml version="1.0" encoding="utf-8" ?>
    <D:multistatus xmlns:D="DAV:">
      <D:response>
        <D:href>/container/</D:href>
        <D:propstat><D:prop xmlns:R="http://ns.example.com/boxschema/">
            <R:bigbox/><D:resourcetype><D:collection/></D:resourcetype>
          </D:prop><D:status>HTTP/1.1 200 OK</D:status></D:propstat>
      </D:response>
      <D:response>
        <D:href>/container/front.html</D:href>
        <D:propstat><D:prop>
            <D:getcontentlength>4525</D:getcontentlength><D:resourcetype/>
          </D:prop><D:status>HTTP/1.1 200 OK</D:status></D:propstat>
      </D:response>
      <D:response>
        <D:href>http://www.example.com/container/a%20b/</D:href>
        <D:propstat><D:prop><D:resourcetype><D:collection/></D:resourcetype></D:prop>
          <D:status>HTTP/1.1 200 OK</D:status></D:propstat>
        <D:propstat><D:prop><D:getcontentlength/></D:prop>
          <D:status>HTTP/1.1 404 Not Found</D:status></D:propstat>
      </D:response>
    </D:multistatus>)";
  const auto entries = parse_listing(xml, "x");
  REQUIRE(entries);
  REQUIRE(entries->size() == 2);
  CHECK((*entries)[0].name == "front.html");
  CHECK_FALSE((*entries)[0].is_collection);
  CHECK((*entries)[0].bytes == 4525U);
  CHECK((*entries)[1].name == "a b");
  CHECK((*entries)[1].is_collection);
  CHECK_FALSE((*entries)[1].bytes);
}

TEST_CASE("what is no listing is told") {
  for (const char* const text : {"", "<html><body>It works!</body></html>", "<a", "{}"}) {
    const auto entries = parse_listing(text, "https://notes.example/");
    REQUIRE_FALSE(entries);
    CHECK(entries.error().kind == Fault::bad_configuration);
    CHECK(entries.error().text.find("https://notes.example/") == 0);
  }
  CHECK(parse_listing("<multistatus/>", "x")->empty());
}

TEST_CASE("each status says what it means, where, and what to try") {
  struct Expected {
    int status;
    Fault kind;
    const char* word;
  };
  // Meanings: RFC 9110 (401, 403, 404, 405, 409, 412, 413, 503), RFC 4918 (423, 507), RFC 6585
  // (429).
  const Expected table[] = {
      {301, Fault::bad_configuration, "put it into url"},
      {401, Fault::not_permitted, "login"},
      {403, Fault::not_permitted, "who runs it"},
      {404, Fault::unavailable, "moved"},
      {405, Fault::bad_configuration, "WebDAV"},
      {409, Fault::unavailable, "collection"},
      {412, Fault::unavailable, "meantime"},
      {413, Fault::bad_data, "large"},
      {418, Fault::bad_configuration, "no WebDAV"},
      {423, Fault::try_later, "locked"},
      {429, Fault::try_later, "it asks for 30 s"},
      {500, Fault::unavailable, "trouble"},
      {502, Fault::unavailable, "trouble"},
      {503, Fault::unavailable, "busy"},
      {507, Fault::io, "room"},
  };
  for (const Expected& expected : table) {
    HttpAnswer answer;
    answer.status = expected.status;
    if (expected.status == 301) answer.location = "https://other.example/";
    if (expected.status == 429) answer.retry_after_s = 30;
    const Error error = dav_refusal("PUT", "https://notes.example/a", answer);
    INFO(error.text);
    CHECK(error.kind == expected.kind);
    CHECK(error.text.find("https://notes.example/a: ") == 0);
    CHECK(error.text.find(expected.word) != std::string::npos);
    CHECK(error.text.find(std::to_string(expected.status)) != std::string::npos);
  }
}
