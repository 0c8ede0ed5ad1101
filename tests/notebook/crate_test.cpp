#include "core/notebook/crate.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "core/base/digest.hpp"
#include "core/notebook/crate_checks.hpp"
#include "core/notebook/unit_code.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/sample_crate.hpp"

using namespace nestcup;
using Json = nlohmann::ordered_json;

namespace {

Json graph_of(const CrateFacts& facts) {
  const auto text = crate_metadata(facts);
  REQUIRE(text);
  return Json::parse(*text).at("@graph");
}

Json node_of(const Json& graph, const std::string& id) {
  for (const Json& each : graph) {
    if (each.at("@id") == id) return each;
  }
  FAIL("no entity " << id);
  return {};
}

std::string crate_refusal(const CrateFacts& facts) {
  const auto text = crate_metadata(facts);
  REQUIRE_FALSE(text);
  CHECK(text.error().kind == Fault::bad_data);
  CHECK(crate_files(facts).error().text == text.error().text);
  return text.error().text;
}

}  // namespace

TEST_CASE("RO-Crate 1.1, Root Data Entity: the descriptor and the root say what they must") {
  const auto text = crate_metadata(sample_crate());
  REQUIRE(text);
  CHECK(*text == *crate_metadata(sample_crate()));
  const Json document = Json::parse(*text);
  CHECK(document.size() == 2);
  CHECK(document.at("@context") == "https://w3id.org/ro/crate/1.1/context");
  const Json& graph = document.at("@graph");
  const Json descriptor = node_of(graph, "ro-crate-metadata.json");
  CHECK(descriptor.at("@type") == "CreativeWork");
  CHECK(descriptor.at("about").at("@id") == "./");
  CHECK(descriptor.at("conformsTo").at("@id") == "https://w3id.org/ro/crate/1.1");
  const Json root = node_of(graph, "./");
  CHECK(root.at("@type") == "Dataset");
  CHECK(root.at("datePublished") == "2026-11-25");
  CHECK_THAT(root.at("license").get<std::string>(), StartsWith("No licence was stated."));
}

TEST_CASE("Each file has its bytes' length and digest, and the type that was given") {
  const CrateFacts facts = sample_crate();
  const Json file = node_of(graph_of(facts), "run-01a211b7-fc00/readings.csv");
  CHECK(file.at("@type") == "File");
  CHECK(file.at("contentSize") == std::to_string(sample_readings().size()));
  CHECK(file.at("sha256") == sha256_hex(sample_readings()));
  CHECK(file.at("encodingFormat") == "text/csv");
  const Json empty = node_of(graph_of(facts), "run-01a211b7-fc00/empty.txt");
  CHECK(empty.at("contentSize") == "0");
  CHECK(empty.at("encodingFormat") == "application/octet-stream");
  CHECK_FALSE(empty.contains("description"));
}

TEST_CASE("Names that would end or change a reference are encoded (RFC 3986)") {
  const Json graph = graph_of(sample_crate());
  node_of(graph, "run-01a211b7-fc00/charts/temperature%20over%20time.svg");
  const Json file = node_of(graph, "run-01a211b7-fc00/notes/\u00DCbersicht%20%231%2050%25.txt");
  CHECK(file.at("name") == "\u00DCbersicht #1 50%.txt");
  CHECK(path_reference("a:b?c[d]") == "a%3Ab%3Fc%5Bd%5D");
}

TEST_CASE("Numbers of a run have their units by text and UCUM, and their uncertainty beside them") {
  const Json graph = graph_of(sample_crate());
  const std::string id = "#value-run-01a211b7-fc00/results.corrected_rise_K";
  const Json rise = node_of(graph, id);
  CHECK(rise.at("@type") == "PropertyValue");
  CHECK(rise.at("propertyID") == "results.corrected_rise_K");
  CHECK(rise.at("value") == 8.5135);
  CHECK(rise.at("unitText") == "K");
  CHECK(rise.at("unitCode") == "UCUM:K");
  CHECK(rise.at("valueReference").at("@id") == id + ".u");
  CHECK(node_of(graph, id + ".u").at("value") == 0.0017);
  const Json plain = node_of(graph, "#value-run-01a211b7-fc00/trial.repeat");
  CHECK_FALSE(plain.contains("unitText"));
  CHECK_FALSE(plain.contains("unitCode"));
  const Json all = node_of(graph, "run-01a211b7-fc00/").at("variableMeasured");
  CHECK(all.size() == 5);
}

TEST_CASE("The program and the bench made the record, at the times that are known") {
  const Json graph = graph_of(sample_crate());
  const Json act = node_of(graph, "#record-run-01a211b7-fc00");
  CHECK(act.at("@type") == "CreateAction");
  CHECK(act.at("endTime") == "2026-11-25T08:05:20.000Z");
  CHECK(act.at("instrument") ==
        Json::parse(R"([{"@id": "#nestcup"}, {"@id": "#bench-bench%204"}])"));
  CHECK(act.at("result").at(0).at("@id") == "run-01a211b7-fc00/");
  CHECK(node_of(graph, "#nestcup").at("@type") == "SoftwareApplication");
  CHECK(node_of(graph, "#bench-bench%204").at("name") == "bench 4");
  CHECK_FALSE(node_of(graph, "#record-run-01a211b8-0000").contains("endTime"));
}

TEST_CASE("People are named only where they are given") {
  const Json graph = graph_of(sample_crate());
  CHECK(node_of(graph, "https://orcid.org/0000-0002-1825-0097").at("name") == "Josiah Carberry");
  CHECK(node_of(graph, "#person-2").at("name") == "Zo\u00EB M\u00FCller");
  CrateFacts nobody = sample_crate();
  nobody.people.clear();
  const std::string text = *crate_metadata(nobody);
  CHECK(text.find("Person") == std::string::npos);
  CHECK(text.find("author") == std::string::npos);
  CHECK(text.find("agent") == std::string::npos);
}

TEST_CASE("A licence with an address is an entity of its own") {
  CrateFacts facts = sample_crate();
  facts.licence = {"Creative Commons Attribution 4.0",
                   "https://creativecommons.org/licenses/by/4.0/"};
  const Json graph = graph_of(facts);
  CHECK(node_of(graph, "./").at("license").at("@id") == facts.licence.url);
  CHECK(node_of(graph, facts.licence.url).at("name") == facts.licence.text);
}

TEST_CASE("ORCIDs have a check digit (ISO 7064, MOD 11-2)") {
  // Examples of ORCID's own page on the structure of the identifier.
  for (const char* good : {"0000-0002-1825-0097", "0000-0001-5109-3700", "0000-0002-1694-233X",
                           "https://orcid.org/0000-0002-1694-233X"}) {
    CHECK_THAT(orcid_address(good), StartsWith("https://orcid.org/0000-000"));
  }
  for (const char* wrong :
       {"0000-0002-1825-0098", "0000-0002-1852-0097", "0000-0002-1694-2330", "0000000218250097",
        "0000-0002-1825-009x", "", "0000-0002-1825-00977", "X000-0002-1825-0097"}) {
    CHECK(orcid_address(wrong).empty());
  }
}

TEST_CASE("Units have the codes of UCUM's tables, and none is made up") {
  CHECK(ucum_code("degC") == "Cel");
  CHECK(ucum_code("degF") == "[degF]");
  CHECK(ucum_code("ohm") == "Ohm");
  CHECK(ucum_code("J/K") == "J/K");
  CHECK(ucum_code("kJ/mol") == "kJ/mol");
  CHECK(ucum_code("count").empty());
  CHECK(ucum_code("").empty());
}

TEST_CASE("A crate of nothing but its facts, and one with runs without files, can be written") {
  CrateFacts facts;
  facts.name = "n";
  facts.description = "d";
  facts.date_published = "2026-11-25T08:00:00.000Z";
  CHECK_FALSE(node_of(graph_of(facts), "./").contains("hasPart"));
  facts.runs = {{}};
  facts.runs[0].folder = "run";
  facts.runs[0].name = "r";
  CHECK(node_of(graph_of(facts), "./").at("hasPart").size() == 1);
  CHECK_FALSE(node_of(graph_of(facts), "run/").contains("hasPart"));
}

TEST_CASE("What is missing or wrong in the facts gets one clear error") {
  const CrateFacts good = sample_crate();
  const auto with = [&](auto change) {
    CrateFacts facts = good;
    change(facts);
    return crate_refusal(facts);
  };
  CHECK(with([](CrateFacts& f) { f.name.clear(); }) == "the crate: its name is missing");
  CHECK(with([](CrateFacts& f) { f.description.clear(); }) ==
        "the crate: its description is missing");
  CHECK(with([](CrateFacts& f) { f.licence.text.clear(); }) == "the crate: its licence is missing");
  CHECK_THAT(with([](CrateFacts& f) { f.date_published = "2026-11"; }),
             ContainsSubstring("date of publication is \"2026-11\""));
  CHECK_THAT(with([](CrateFacts& f) { f.people[0].orcid = "0000-0002-1825-0098"; }),
             StartsWith("Josiah Carberry: \"0000-0002-1825-0098\" is no ORCID"));
  CHECK_THAT(with([](CrateFacts& f) { f.people[1].orcid = f.people[0].orcid; }),
             ContainsSubstring("there twice"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[1].folder = f.runs[0].folder; }),
             ContainsSubstring("two runs share this folder"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[1].folder = "../x"; }),
             ContainsSubstring("leads out"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[1].folder = "a/b"; }),
             ContainsSubstring("at the top of the crate"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[0].date_created = "yesterday"; }),
             ContainsSubstring("date of creation"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[0].measured[0].value = std::nan(""); }),
             ContainsSubstring("results.corrected_rise_K: is no finite number"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[0].measured[0].u = -1.0; }),
             ContainsSubstring("uncertainty"));
  CHECK_THAT(with([](CrateFacts& f) {
               f.runs[0].measured[1].property_id = f.runs[0].measured[0].property_id;
             }),
             ContainsSubstring("is there twice"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[0].files[1].path = f.runs[0].files[0].path; }),
             ContainsSubstring("is there twice"));
  CHECK_THAT(with([](CrateFacts& f) { f.files[0].path = "ro-crate-metadata.json"; }),
             ContainsSubstring("is there twice"));
  CHECK_THAT(with([](CrateFacts& f) { f.files[0].path = f.runs[0].folder; }),
             ContainsSubstring("lies in the place of a run's folder"));
  CHECK_THAT(with([](CrateFacts& f) { f.runs[0].text = "\xFF"; }), ContainsSubstring("not UTF-8"));
}
