import pytest
from django.apps import apps
from factory.django import DjangoModelFactory

from tests import factories

FACTORIES = {
    factory._meta.model: factory
    for factory in vars(factories).values()
    if isinstance(factory, type) and issubclass(factory, DjangoModelFactory) and factory._meta.model
}
MODELS = [*apps.get_app_config("athletes").get_models(), *apps.get_app_config("meets").get_models()]


@pytest.mark.django_db
@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_model_has_a_factory_that_makes_valid_rows(model):
    for made in FACTORIES[model].create_batch(3):
        made.full_clean(validate_unique=False, validate_constraints=False)
    assert model.objects.count() == 3


@pytest.mark.django_db
def test_sixteen_events_of_a_meet_are_all_different():
    meet = factories.MeetFactory()
    names = {event.name for event in factories.EventFactory.create_batch(16, meet=meet)}
    assert len(names) == 16


@pytest.mark.django_db
def test_what_belongs_together_is_of_one_meet():
    part = factories.SessionPartFactory()
    assert part.session.pit.meet == part.event.meet
    entry = factories.EntryFactory(event__category="boys")
    assert entry.athlete.sex == "M"
