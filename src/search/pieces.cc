#include "search/pieces.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "document/fields.h"
#include "document/names.h"
#include "document/quantity_text.h"

namespace steerbench::search {
namespace {

void AddTo(std::string& list, const std::string& more) {
  list += (list.empty() ? "" : ", ") + more;
}

// What a face states but its place, in words: "36 splines, diameter 17 mm".
std::string FaceWords(const Face& face) {
  std::string words;
  Face::Visit(
      [&](const FieldInfo& info, const auto& feature) {
        using T = std::remove_cvref_t<decltype(feature)>;
        if constexpr (std::same_as<T, std::string>) {
          if (!feature.empty()) AddTo(words, fmt::format("{} {}", info.key, feature));
        } else if constexpr (std::same_as<T, std::optional<Quantity>>) {
          if (!feature) return;
          const bool count = feature->kind == Kind::kCount;
          AddTo(words, count ? fmt::format("{} {}", WrittenText(*feature), info.key)
                             : fmt::format("{} {}", info.key, WrittenText(*feature)));
        } else if constexpr (std::same_as<T, std::optional<Hand>>) {
          if (feature) AddTo(words, fmt::format("{} hand", WordOf(*feature)));
        }
      },
      face);
  return words;
}

// The faces that a part of a kind shows when it is ordered, and its one size that counts (common
// practice, no source).
struct Ordered {
  std::string_view table, size;
  std::vector<Meeting> at;
};
const std::vector<Ordered>& OrderedBy() {
  using enum Meeting;
  static const std::vector<Ordered> all{
      {"rack", "", {kPinion, kRackPressurePort, kRackReturnPort, kInnerThread}},
      {"spacer", "thickness", {kInnerThread}},
      {"tie_rod", "", {kInnerThread, kOuterTaper}},
      {"arms", "", {kOuterTaper}},
      {"pump", "", {kPumpPressurePort, kPumpInlet, kPumpShaft}},
      {"pulley", "diameter", {kPumpShaft, kBelt}},
      {"belt", "length", {kBelt}},
      {"control_valve", "coil", {kControlPort, kCoilPlug}}};
  return all;
}

bool StatesHand(const std::vector<Face>& faces) {
  return std::ranges::any_of(faces, [](const Face& f) { return f.hand.has_value(); });
}

template <class P>
requires requires(const P& part) { part.face; }
void AddFacts(const P& part, Piece& piece) {
  const auto known = std::ranges::find(OrderedBy(), piece.table, &Ordered::table);
  if (known == OrderedBy().end()) return;
  P::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if constexpr (std::same_as<std::remove_cvref_t<decltype(field)>, std::optional<Quantity>>) {
          if (info.key != known->size) return;
          const std::string key(info.key);
          (field ? piece.facts : piece.ask)
              .push_back(field ? key + " " + WrittenText(*field) : key);
        }
      },
      part);
  for (const Face& face : part.face) {
    const std::string words = FaceWords(face);
    if (face.at && !words.empty())
      piece.facts.push_back(fmt::format("{}: {}", WordOf(*face.at), words));
  }
  // A rack that nothing assists has no ports.
  bool assisted = true;
  if constexpr (requires { part.piston_bore; }) {
    assisted = IsAssisted(part).value_or(false);
  }
  for (const Meeting at : known->at) {
    const bool port = at == Meeting::kRackPressurePort || at == Meeting::kRackReturnPort;
    if (port && !assisted) continue;
    const auto face = std::ranges::find(part.face, std::optional(at), &Face::at);
    if (face == part.face.end() || FaceWords(*face).empty()) {
      piece.ask.emplace_back(WordOf(at));
    }
  }
  if (piece.table == "rack" && !StatesHand(part.face)) {
    piece.ask.emplace_back("hand: for a driver on the left or on the right");
  }
}

void AddFacts(const Adapter<Quantity>& adapter, Piece& piece) {
  const auto at = adapter.one.at ? adapter.one.at : adapter.other.at;
  const std::string place = at ? std::string(WordOf(*at)) : "place not stated";
  const std::string one = FaceWords(adapter.one), other = FaceWords(adapter.other);
  piece.facts.push_back(fmt::format("{}: {} to {}", place, one.empty() ? "not stated" : one,
                                    other.empty() ? "not stated" : other));
}

// What a job sets.
void AddFacts(const Work<Quantity>& work, Piece& piece) {
  Adjustments<Quantity>::Visit(
      [&](const FieldInfo& info, const auto& field) {
        if (!field) return;
        using T = typename std::remove_cvref_t<decltype(field)>::value_type;
        std::string words = Spaced(info.key);
        if constexpr (std::same_as<T, Quantity>) {
          words += " " + WrittenText(*field);
        } else if constexpr (std::same_as<T, bool>) {
          words += *field ? ": yes" : ": no";
        } else {
          words += fmt::format(" {}", WordOf(*field));
        }
        piece.facts.push_back(std::move(words));
      },
      work.adjust);
}

template <class P>
Piece PieceOf(std::string_view table, const std::string& name, const P& part) {
  Piece piece;
  piece.table = table;
  piece.name = name;
  piece.title = part.title;
  piece.source = part.source;
  piece.owned = part.owned.value_or(false);
  piece.lasting = part.lasting.value_or(false);
  piece.price = part.price;
  piece.hours = part.hours;
  AddFacts(part, piece);
  if (piece.owned) piece.ask.clear();
  return piece;
}

template <class Of>
Sum Added(const std::vector<Piece>& pieces, std::string_view key, Of&& of) {
  Sum sum;
  double squares = 0.0;
  for (const Piece& piece : pieces) {
    const auto& [counts, quantity, needed] = of(piece);
    if (!counts) continue;
    if (!quantity) {
      if (needed) sum.missing.push_back(fmt::format("{}.{}", piece.Path(), key));
      continue;
    }
    const double count = static_cast<double>(piece.count);
    const double half = count * quantity->tolerance.value_or(0.0);
    sum.value += count * quantity->value;
    squares += half * half;
  }
  sum.half_width = std::sqrt(squares);
  return sum;
}

struct Term {
  bool counts;
  const std::optional<Quantity>& quantity;
  bool needed;
};

}  // namespace

std::vector<Piece> PiecesOf(const Document& document, const Space& space, const Joints& joints,
                            const Choice& choice) {
  std::vector<Piece> pieces, jobs;
  for (std::size_t d = 0; d < choice.size(); ++d) {
    const Dimension& dimension = space.dimension[d];
    const Option& option = dimension.option[choice[d]];
    if (choice[d] == 0) continue;
    for (const std::size_t w : option.works) {
      jobs.push_back(PieceOf("work", space.work[w].name, space.work[w]));
    }
    if (option.name.empty()) continue;
    ForEachPartKind(document, [&](std::string_view key, std::string_view table, const auto& parts) {
      if (key != dimension.key) return;
      for (const auto& entry : parts) {
        if constexpr (requires { entry.second.owned; }) {
          if (entry.first == option.name) {
            pieces.push_back(PieceOf(table, entry.first, entry.second));
          }
        }
      }
    });
  }
  for (const std::size_t a : joints.Of(choice).adapters) {
    const std::string& name = document.adapter[a].first;
    const auto& adapter = document.adapter[a].second;
    const auto same = std::ranges::find_if(
        pieces, [&](const Piece& p) { return p.table == "adapter" && p.name == name; });
    if (same != pieces.end()) {
      ++same->count;
    } else {
      pieces.push_back(PieceOf("adapter", name, adapter));
    }
  }
  pieces.insert(pieces.end(), jobs.begin(), jobs.end());
  return pieces;
}

Sum CostOf(const std::vector<Piece>& pieces) {
  return Added(pieces, "price", [](const Piece& p) {
    return Term{!p.owned, p.price, p.NeedsPrice()};
  });
}

Sum HoursOf(const std::vector<Piece>& pieces) {
  return Added(pieces, "hours", [](const Piece& p) { return Term{true, p.hours, true}; });
}

}  // namespace steerbench::search
