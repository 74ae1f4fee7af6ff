#include "search/keep.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "search/reasons.h"

namespace steerbench::search {
namespace {

using Json = nlohmann::json;

// To be raised when the models change what a search finds.
constexpr int kMethod = 2;
constexpr std::string_view kNoSuch = "it is not the progress of a search, or not whole";

// FNV-1a, 64 bit (Fowler, Noll, Vo; IETF draft-eastlake-fnv): tells documents apart.
std::uint64_t Fingerprint(std::string_view text) {
  std::uint64_t hash = 0xcbf29ce484222325u;
  for (const char c : text) {
    hash ^= static_cast<unsigned char>(c);
    hash *= 0x100000001b3u;
  }
  return hash;
}

Json AimsJson(const AimValues& aims) {
  Json list = Json::array();
  for (const auto& a : aims) list.push_back(a ? Json(*a) : Json(nullptr));
  return list;
}

std::optional<Entry> EntryOf(const Json& j, const Space& space, std::size_t wishes) {
  Entry e;
  j.at("choice").get_to(e.choice);
  j.at("score").get_to(e.score);
  j.at("alike").get_to(e.alike);
  const Json& aims = j.at("aims");
  if (e.choice.size() != space.dimension.size() || e.score.size() != wishes ||
      aims.size() != kAims) {
    return std::nullopt;
  }
  for (std::size_t d = 0; d < e.choice.size(); ++d) {
    if (e.choice[d] >= space.dimension[d].option.size()) return std::nullopt;
  }
  for (std::size_t i = 0; i < kAims; ++i) {
    if (!aims[i].is_null()) e.aims[i] = aims[i].get<double>();
  }
  return e;
}

}  // namespace

std::string KeepProgress(const Progress& p, std::string_view form) {
  Json entries = Json::array();
  for (const Entry& e : p.entries) {
    entries.push_back(
        {{"choice", e.choice}, {"score", e.score}, {"alike", e.alike}, {"aims", AimsJson(e.aims)}});
  }
  return Json{{"search_progress", kMethod},
              {"document", Fingerprint(form)},
              {"shared", p.shared},
              {"pair", p.pair},
              {"alone_counted", p.alone_counted},
              {"looked_at", p.looked_at},
              {"left_out", p.left_out},
              {"doublings", p.doublings},
              {"entries", entries}}
             .dump() +
         "\n";
}

Kept KeptProgress(std::string_view text, std::string_view form, const Space& space,
                  const Wishes& wishes) {
  const Json j = Json::parse(text, nullptr, false);
  if (!j.is_object()) return {{}, kNoSuch};
  try {
    if (j.at("search_progress") != kMethod) return {{}, kNoSuch};
    for (const char* key : {"shared", "pair", "doublings"}) {
      if (!j.at(key).is_number_unsigned()) return {{}, kNoSuch};
    }
    if (j.at("document").get<std::uint64_t>() != Fingerprint(form)) {
      return {{}, "the document has changed since: the search must begin anew"};
    }
    Progress p;
    j.at("shared").get_to(p.shared);
    j.at("pair").get_to(p.pair);
    j.at("alone_counted").get_to(p.alone_counted);
    j.at("looked_at").get_to(p.looked_at);
    j.at("left_out").get_to(p.left_out);
    j.at("doublings").get_to(p.doublings);
    const auto wished = static_cast<std::size_t>(
        std::ranges::count_if(wishes, [](const Wish& w) { return w.want.has_value(); }));
    for (const Json& entry : j.at("entries")) {
      auto e = EntryOf(entry, space, wished);
      if (!e) return {{}, kNoSuch};
      p.entries.push_back(std::move(*e));
    }
    if (p.left_out.size() != kReasons || !Fits(p, space)) return {{}, kNoSuch};
    return {std::move(p), {}};
  } catch (const Json::exception&) {
    return {{}, kNoSuch};
  }
}

}  // namespace steerbench::search
