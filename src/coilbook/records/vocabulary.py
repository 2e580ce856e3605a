"""Closed lists of the trade, stored by their stable code (`.value`)."""

from __future__ import annotations

from enum import StrEnum


class Sex(StrEnum):
    MALE = "male"
    FEMALE = "female"
    UNSEXED = "unsexed"


#: how sure a sex with a question mark is taken to be (common practice: "female? 80%")
UNSURE_PERCENT = 80


class SexBasis(StrEnum):
    """How the sex is known."""

    POPPED = "popped"
    PROBED = "probed"
    BRED = "bred"
    SHED_TEST = "shed_test"
    SELLER = "seller"
    LOOKS = "looks"
    UNKNOWN = "unknown"


class Status(StrEnum):
    """Where an animal stands; OUTSIDE is somebody else's animal kept for the pedigree."""

    HERE = "here"
    SOLD = "sold"
    DEAD = "dead"
    LOAN = "loan"
    LOST = "lost"
    OUTSIDE = "outside"


class Precision(StrEnum):
    DAY = "day"
    MONTH = "month"
    SEASON = "season"
    YEAR = "year"


class Origin(StrEnum):
    BRED_HERE = "bred_here"
    BOUGHT = "bought"
    SWAPPED = "swapped"
    LOAN = "loan"
    RESCUE = "rescue"
    GIFT = "gift"
    UNKNOWN = "unknown"


class PlaceKind(StrEnum):
    ROOM = "room"
    RACK = "rack"
    SLOT = "slot"


class PersonRole(StrEnum):
    KEEPER = "keeper"
    HELPER = "helper"
    SELLER = "seller"
    BUYER = "buyer"
    VET = "vet"
    OTHER = "other"


class FeedingResult(StrEnum):
    """What came of an offer; NOT_OFFERED is a decision not to offer and never counts as an offer."""

    PENDING = "pending"
    TAKEN = "taken"
    TAKEN_LATE = "taken_late"
    REFUSED = "refused"
    STRUCK = "struck"
    NOT_OFFERED = "not_offered"


#: results in which the meal went into the animal
TAKEN_RESULTS = (FeedingResult.TAKEN, FeedingResult.TAKEN_LATE)
#: results in which an offer was made and not eaten
REFUSED_RESULTS = (FeedingResult.REFUSED, FeedingResult.STRUCK)


class RefusalReason(StrEnum):
    BLUE = "blue"
    SEASON = "season"
    GRAVID = "gravid"
    NEW = "new"
    SIZE = "size"
    UNKNOWN = "unknown"


class PreyState(StrEnum):
    FROZEN_THAWED = "ft"
    PRE_KILLED = "pk"
    LIVE = "live"


class WeightTag(StrEnum):
    """What the animal was like on the scale."""

    EMPTY = "empty"
    AFTER_MEAL = "after_meal"
    GRAVID = "gravid"
    AFTER_LAYING = "after_laying"
    UNSAID = "unsaid"


class ShedKind(StrEnum):
    BLUE = "blue"
    CLEAR = "clear"
    COMPLETE = "complete"
    INCOMPLETE = "incomplete"
    EYECAPS = "eyecaps"


#: entries that are a shed, as against a stage on the way to one
SHED_RESULTS = (ShedKind.COMPLETE, ShedKind.INCOMPLETE, ShedKind.EYECAPS)


class Sign(StrEnum):
    """One-tap things seen on an animal."""

    GLOW = "glow"
    WRAPS_BOWL = "wraps_bowl"
    INVERTED = "inverted"
    SEEKS_HEAT = "seeks_heat"
    SEEKS_COOL = "seeks_cool"
    SWELLING = "swelling"
    WHEEZE = "wheeze"
    MITES = "mites"
    STOOL = "stool"
    URATES = "urates"


class CleaningExtent(StrEnum):
    SPOT = "spot"
    FULL = "full"


class MoveReason(StrEnum):
    PAIRING = "pairing"
    CLEANING = "cleaning"
    QUARANTINE = "quarantine"
    LAYING = "laying"
    SALE_HOLD = "sale_hold"
    TEMPORARY = "temporary"
    UNSAID = "unsaid"


class DepartureKind(StrEnum):
    """Turns in an animal's status; RETURNED undoes none of the earlier ones, it follows them."""

    SOLD = "sold"
    DIED = "died"
    LOANED = "loaned"
    LOST = "lost"
    RETURNED = "returned"


#: what each turn makes of an animal, and by which turn it got where it stands when it is not here
STATUS_AFTER = {
    DepartureKind.SOLD: Status.SOLD,
    DepartureKind.DIED: Status.DEAD,
    DepartureKind.LOANED: Status.LOAN,
    DepartureKind.LOST: Status.LOST,
    DepartureKind.RETURNED: Status.HERE,
}
TURN_TO = {status: turn for turn, status in STATUS_AFTER.items() if turn is not DepartureKind.RETURNED}


class PhotoAngle(StrEnum):
    TOP = "top"
    SIDE = "side"
    BELLY = "belly"
    HEAD = "head"
    TAIL = "tail"
    UNSAID = "unsaid"


class CodeKind(StrEnum):
    """Kind letter of a printed code."""

    ANIMAL = "A"
    SLOT = "S"
    EGG_BOX = "E"
    HATCHLING = "H"


class FindingKind(StrEnum):
    """What kind of knowledge a finding is; `storage.tables.Finding` says which columns each uses."""

    SEEN = "seen"
    NOT_SEEN = "not_seen"
    TEST = "test"
    PROVEN = "proven"
    ASSUMED = "assumed"
    CARD = "card"
    RETRACTED = "retracted"


class OwnKind(StrEnum):
    """What a keeper's own entry of the catalogue is; the tables of `genetics.catalogue_text`."""

    GENE = "gene"
    COMPLEX = "complex"
    PAIR = "pair"
    CAUTION = "caution"
    COMBINATION = "combination"
    LINE = "line"
    MERGE = "merge"


class Act(StrEnum):
    """Everything a keeper can do, by stable code; `wording.acts` names each one."""

    ADD_ANIMAL = "add_animal"
    EDIT_ANIMAL = "edit_animal"
    EDIT_ANIMALS = "edit_animals"
    SET_PARENTS = "set_parents"
    DELETE_ANIMAL = "delete_animal"
    ACQUIRE = "acquire"
    ADD_CLAIM = "add_claim"
    ADD_FINDING = "add_finding"
    CORRECT_FINDING = "correct_finding"
    RETRACT_FINDING = "retract_finding"
    KEEP_OWN_GENE = "keep_own_gene"
    REMOVE_OWN_GENE = "remove_own_gene"
    ANSWER_LABEL = "answer_label"
    ADD_PLACE = "add_place"
    EDIT_PLACE = "edit_place"
    REMOVE_PLACE = "remove_place"
    RENUMBER_RACK = "renumber_rack"
    MOVE_ANIMAL = "move_animal"
    MOVE_ANIMALS = "move_animals"
    OFFER_FEEDING = "offer_feeding"
    OFFER_RACK = "offer_rack"
    CLOSE_FEEDINGS = "close_feedings"
    REGURGITATION = "regurgitation"
    WEIGH = "weigh"
    SHED = "shed"
    SEE_SIGN = "see_sign"
    CLEAN = "clean"
    CLEAN_RACK = "clean_rack"
    WRITE_NOTE = "write_note"
    ADD_PHOTO = "add_photo"
    EDIT_PHOTO = "edit_photo"
    REMOVE_PHOTO = "remove_photo"
    TAG = "tag"
    UNTAG = "untag"
    SELL = "sell"
    DIE = "die"
    LOAN = "loan"
    LOSE = "lose"
    RETURN = "return"
    ADD_PERSON = "add_person"
    EDIT_PERSON = "edit_person"
    ERASE_PERSON = "erase_person"
    EDIT_ENTRY = "edit_entry"
    REMOVE_ENTRY = "remove_entry"
    ADD_INCUBATOR = "add_incubator"
    EDIT_INCUBATOR = "edit_incubator"
    READ_INCUBATOR = "read_incubator"
    IMPORT_READINGS = "import_readings"
    SET_UP_BOX = "set_up_box"
    EDIT_BOX = "edit_box"
    LOOK_AT_BOX = "look_at_box"
    WATER_BOX = "water_box"
    LAY_CLUTCH = "lay_clutch"
    EDIT_CLUTCH = "edit_clutch"
    EDIT_EGG = "edit_egg"
    LOOK_AT_EGGS = "look_at_eggs"
    DO_TO_EGGS = "do_to_eggs"
    MOVE_EGGS = "move_eggs"
    HATCH_EGGS = "hatch_eggs"
    MAKE_HATCHLINGS = "make_hatchlings"
    ASK_DOUBT = "ask_doubt"
    SETTLE_DOUBT = "settle_doubt"
    PUT_OFF_DOUBT = "put_off_doubt"
    PLAN_PAIRING = "plan_pairing"
    EDIT_PLAN = "edit_plan"
    ENTER_STAY = "enter_stay"
    LEAVE_STAY = "leave_stay"
    SEE_LOCK = "see_lock"
    FEEL_FOLLICLES = "feel_follicles"
    SEE_OVULATION = "see_ovulation"
    MARK_SHED = "mark_shed"
    COOL_RACK = "cool_rack"
    END_SEASON = "end_season"
    BEGIN_TREATMENT = "begin_treatment"
    BEGIN_QUARANTINE = "begin_quarantine"
    NOTE_COURSE = "note_course"
    END_COURSE = "end_course"
    PRINT_LABELS = "print_labels"
    IMPORT = "import"
    CHANGE_SETTING = "change_setting"
    SET_NUMBER = "set_number"
    SAVE_VIEW = "save_view"
    REMOVE_VIEW = "remove_view"
    RESTORE = "restore"
    UNDO = "undo"
