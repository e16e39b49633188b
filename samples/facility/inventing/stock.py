"""What lies where: clean sets waiting for a wrap, packs on the shelf, and who is on duty."""

from .journal import minutes
from .place import SORTS


class Pack:
    def __init__(self, pack_id, set_id):
        self.id, self.set, self.sort = pack_id, set_id, set_id[:3]
        self.load = None        # the latest load that held it
        self.equipment = None
        self.load_end = None
        self.opened = None      # drums: first opening

    @property
    def wrap(self):
        return SORTS[self.sort].wrap


class Stock:
    def __init__(self):
        self.clean = []   # (ready from, set id), oldest first
        self.shelf = {sort: [] for sort in SORTS}
        self.drum = None  # the open drum on the labour-room trolley
        self.aside = []   # packs in the emergency cupboard that nobody looks into
        self._packs = 0

    def new_pack(self, set_id):
        self._packs += 1
        return Pack(f"PK-{self._packs:04d}", set_id)

    def ready(self, sorts, at):
        """Sets of these sorts that can be wrapped before `at`, oldest first."""
        return [set_id for since, set_id in sorted(self.clean) if set_id[:3] in sorts and since <= at - minutes(35)]

    def take_clean(self, set_ids):
        self.clean = [(since, set_id) for since, set_id in self.clean if set_id not in set_ids]

    def take(self, sort, count=1):
        """The oldest packs of the shelf."""
        taken, self.shelf[sort] = self.shelf[sort][:count], self.shelf[sort][count:]
        return taken

    def put(self, pack):
        self.shelf[pack.sort].append(pack)
        self.shelf[pack.sort].sort(key=lambda one: (one.load_end, one.id))


def is_day(at):
    return 7 <= at.hour < 19


def nurse(at):
    """Two nurses by day and two by night, in turn."""
    turn = (at - minutes(420)).toordinal() % 2
    return ("nurse-1", "nurse-2")[turn] if is_day(at) else ("nurse-3", "nurse-4")[turn]


def attendant(at):
    return "attendant-1" if is_day(at) else "attendant-2"


def processor(at):
    return "processor-2" if at.toordinal() % 3 == 0 else "processor-1"


def sister(at):
    return "sister-2" if at.weekday() >= 5 else "sister-1"
