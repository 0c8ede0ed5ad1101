// Tokens in their file: what is kept of them, who finds one, and what broken files and several
// writers come to.
#include "core/store/token_file.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <thread>

#include "core/base/digest.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
namespace fs = std::filesystem;

namespace {

const std::string now = "2026-03-02T09:00:00.000Z";
const std::string digest(64, '0');

class TokenFolder {
 public:
  TokenFolder() {
    std::string folder = (fs::temp_directory_path() / "nestcup-tokens-XXXXXX").string();
    REQUIRE(mkdtemp(folder.data()) != nullptr);
    folder_ = folder;
  }
  TokenFolder(const TokenFolder&) = delete;
  TokenFolder& operator=(const TokenFolder&) = delete;
  ~TokenFolder() { fs::remove_all(folder_); }

  [[nodiscard]] std::string path(const std::string& name = "bench.db.tokens") const {
    return (folder_ / name).string();
  }
  void write(const std::string& text) const { std::ofstream(path()) << text; }
  [[nodiscard]] std::string text() const {
    std::ostringstream all;
    all << std::ifstream(path()).rdbuf();
    return all.str();
  }

 private:
  fs::path folder_;
};

unsigned mode_of(const std::string& path) {
  struct stat facts {};
  REQUIRE(stat(path.c_str(), &facts) == 0);
  return facts.st_mode & 07777U;
}

std::vector<std::string> tokens_in(const std::string& path) {
  const auto tokens = read_tokens(path);
  REQUIRE(tokens);
  std::vector<std::string> names;
  for (const Token& one : *tokens) names.push_back(one.name);
  return names;
}

std::string whole_file(const std::string& entries) {
  return R"({"format": "nestcup-tokens", "version": 1, "tokens": [)" + entries + "]}";
}

std::string entry(const std::string& name, const std::string& role, const std::string& sha256) {
  return R"({"name": ")" + name + R"(", "role": ")" + role + R"(", "sha256": ")" + sha256 +
         R"(", "made_at": ")" + now + R"("})";
}

}  // namespace

TEST_CASE("a token is random, and the file holds its digest alone") {
  const TokenFolder folder;
  CHECK(token_file_path("/lab/bench.db") == "/lab/bench.db.tokens");
  const auto first = add_token(folder.path(), "wall", "viewer", now);
  const auto second = add_token(folder.path(), "tablet", "operator", now);
  REQUIRE(first);
  REQUIRE(second);
  CHECK(*first != *second);
  for (const std::string& token : {*first, *second}) {
    CHECK(token.size() == 43);
    CHECK(token.find_first_not_of(
              "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") ==
          std::string::npos);
    CHECK(folder.text().find(token) == std::string::npos);
    CHECK(folder.text().find(sha256_hex(token)) != std::string::npos);
  }
  const auto tokens = read_tokens(folder.path());
  REQUIRE(tokens);
  REQUIRE(tokens->size() == 2);
  CHECK(tokens->at(0).name == "tablet");  // by name
  CHECK(tokens->at(0).role == "operator");
  CHECK(tokens->at(1).role == "viewer");
  CHECK(tokens->at(1).made_at == now);
}

TEST_CASE("only the whole token finds its entry") {
  const TokenFolder folder;
  const auto token = add_token(folder.path(), "wall", "viewer", now);
  REQUIRE(token);
  REQUIRE(add_token(folder.path(), "tablet", "operator", now));
  const auto tokens = read_tokens(folder.path());
  REQUIRE(tokens);
  REQUIRE(find_token(*tokens, *token));
  CHECK(find_token(*tokens, *token)->name == "wall");
  for (const std::string& wrong :
       {std::string(), token->substr(1), token->substr(0, 42), *token + "A", *token + " ",
        *token + std::string(1, '\0'), sha256_hex(*token), std::string("wall")}) {
    CHECK_FALSE(find_token(*tokens, wrong));
  }
  CHECK_FALSE(find_token({}, *token));
  Token shortened = tokens->at(1);
  shortened.sha256.clear();
  CHECK_FALSE(find_token({shortened}, *token));
  shortened.sha256 = sha256_hex(*token).substr(0, 10);
  CHECK_FALSE(find_token({shortened}, *token));
}

TEST_CASE("the file is its owner's alone, whatever it was before") {
  const TokenFolder folder;
  const mode_t before = umask(0);
  REQUIRE(add_token(folder.path(), "wall", "viewer", now));
  CHECK(mode_of(folder.path()) == 0600U);
  CHECK(mode_of(folder.path() + ".lock") == 0600U);
  fs::permissions(folder.path(), fs::perms(0644));
  REQUIRE(add_token(folder.path(), "tablet", "viewer", now));
  umask(before);
  CHECK(mode_of(folder.path()) == 0600U);
  CHECK_FALSE(fs::exists(folder.path() + ".new"));
}

TEST_CASE("names and roles that are none, and names that are taken") {
  const TokenFolder folder;
  for (const std::string& name :
       {std::string(), std::string("a b"), std::string("a/b"), std::string("a\nb"),
        std::string("\xc3\xa4"), std::string(61, 'a')}) {
    INFO(name);
    const auto refused = add_token(folder.path(), name, "viewer", now);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::usage);
  }
  for (const char* const role : {"", "Viewer", "admin", "operator "}) {
    INFO(role);
    const auto refused = add_token(folder.path(), "wall", role, now);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::usage);
    CHECK_THAT(refused.error().text, ContainsSubstring("viewer or operator"));
  }
  CHECK_FALSE(fs::exists(folder.path()));
  REQUIRE(add_token(folder.path(), std::string(60, 'a'), "viewer", now));
  REQUIRE(add_token(folder.path(), "Wall-2_a.b", "viewer", now));
  const auto taken = add_token(folder.path(), "Wall-2_a.b", "operator", now);
  REQUIRE_FALSE(taken);
  CHECK(taken.error().kind == Fault::cannot_create);
  CHECK_THAT(taken.error().text, ContainsSubstring("nestcup token remove Wall-2_a.b"));
}

TEST_CASE("a token that is taken back is gone, and its name free") {
  const TokenFolder folder;
  const auto token = add_token(folder.path(), "tablet", "operator", now);
  REQUIRE(token);
  const auto unknown = remove_token(folder.path(), "tabelt");
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().kind == Fault::no_input);
  CHECK_THAT(unknown.error().text, ContainsSubstring("did you mean tablet?"));
  REQUIRE(remove_token(folder.path(), "tablet"));
  CHECK(tokens_in(folder.path()).empty());
  const auto again = add_token(folder.path(), "tablet", "operator", now);
  REQUIRE(again);
  CHECK(*again != *token);
  CHECK(tokens_in(folder.path() + ".none").empty());
}

TEST_CASE("broken files are refused with the line or the token, and never written over") {
  const TokenFolder folder;
  struct Row {
    std::string text;
    std::string start;  ///< behind the path
    std::string part;
  };
  const std::string good = entry("wall", "viewer", digest);
  const std::vector<Row> table{
      {"", ":1: is no JSON", "nestcup token add NAME"},
      {"{\n  \"format\": \"nestcup-tokens\",\n  \"version\" 1\n}\n", ":3: is no JSON", "move"},
      {whole_file(good).substr(0, 90), ":1: is no JSON", "move"},
      {std::string(4, '\0'), ":1: is no JSON", "move"},
      {"\xff\xfe{}", ":1: is no JSON", "move"},
      {"[]", ": is no file of tokens", "newer"},
      {"{}", ": is no file of tokens", "newer"},
      {R"({"format": "nestcup-tokens", "version": 2, "tokens": []})", ": is no file of", "newer"},
      {R"({"format": "nestcup-tokens", "version": 1})", ": is no file of tokens", "newer"},
      {R"({"format": 7, "version": 1, "tokens": []})", ": is no file of tokens", "newer"},
      {whole_file("7"), ": token 1: name is missing", "no text"},
      {whole_file("{}"), ": token 1: name is missing", "no text"},
      {whole_file(good + R"(, {"name": "b", "role": 1})"), ": token 2: role is missing", "no text"},
      {whole_file(entry("a", "boss", digest)), ": token 1: role is \"boss\"", "viewer or operator"},
      {whole_file(entry("a", "viewer", "")), ": token 1: sha256 is none", "64"},
      {whole_file(entry("a", "viewer", std::string(64, 'Z'))), ": token 1: sha256 is none", "64"},
      {whole_file(good + ", " + good), ": token 2: \"wall\" is there twice", "move"},
  };
  for (const Row& row : table) {
    INFO(row.text);
    folder.write(row.text);
    const auto read = read_tokens(folder.path());
    REQUIRE_FALSE(read);
    CHECK(read.error().kind == Fault::bad_data);
    CHECK_THAT(read.error().text, StartsWith(folder.path() + row.start));
    CHECK_THAT(read.error().text, ContainsSubstring(row.part));
    CHECK_FALSE(add_token(folder.path(), "new", "viewer", now));
    CHECK_FALSE(remove_token(folder.path(), "wall"));
    CHECK(folder.text() == row.text);
  }
  folder.write(whole_file(good));
  CHECK(tokens_in(folder.path()) == std::vector<std::string>{"wall"});
}

TEST_CASE("of many who write at once every token is kept, and no reader sees half a file") {
  const TokenFolder folder;
  REQUIRE(add_token(folder.path(), "first", "viewer", now));
  std::atomic<int> broken = 0;
  std::atomic<bool> done = false;
  std::thread reader([&] {
    while (!done) broken += read_tokens(folder.path()) ? 0 : 1;
  });
  std::vector<std::thread> writers;
  std::atomic<int> added = 0;
  for (int writer = 0; writer < 6; ++writer) {
    writers.emplace_back([&, writer] {
      for (int i = 0; i < 8; ++i) {
        const std::string name = "w" + std::to_string(writer) + "-" + std::to_string(i);
        if (add_token(folder.path(), name, "viewer", now)) ++added;
        if (i % 2 == 0 && remove_token(folder.path(), name)) --added;
      }
    });
  }
  for (std::thread& writer : writers) writer.join();
  done = true;
  reader.join();
  CHECK(broken == 0);
  CHECK(added == 24);
  CHECK(tokens_in(folder.path()).size() == 25);
}

TEST_CASE("a link to the file goes on leading to it; others lead nowhere") {
  const TokenFolder folder;
  REQUIRE(add_token(folder.path("kept"), "wall", "viewer", now));
  fs::create_symlink("kept", folder.path());
  REQUIRE(add_token(folder.path(), "tablet", "viewer", now));
  CHECK(fs::is_symlink(folder.path()));
  CHECK(tokens_in(folder.path("kept")) == std::vector<std::string>{"tablet", "wall"});
  // Somebody who may write in the folder must not choose which other file is overwritten.
  std::ofstream(folder.path("victim")) << "mine";
  for (const char* const end : {".new", ".lock"}) {
    fs::remove(folder.path("kept") + end);
    fs::create_symlink("victim", folder.path("kept") + end);
    CHECK_FALSE(add_token(folder.path("kept"), "more", "viewer", now));
    fs::remove(folder.path("kept") + end);
  }
  CHECK(fs::file_size(folder.path("victim")) == 4);
  CHECK(tokens_in(folder.path()).size() == 2);
}

TEST_CASE("a folder that is not there is told") {
  const TokenFolder folder;
  const auto refused = add_token(folder.path("none/bench.db.tokens"), "wall", "viewer", now);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == Fault::io);
  CHECK_THAT(refused.error().text, ContainsSubstring("none/bench.db.tokens.lock"));
}
